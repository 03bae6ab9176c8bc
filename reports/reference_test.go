package reports

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

const reference = "../testdata/reference/"

// daysPerMonth makes days of the months of the cosmesis data.
const daysPerMonth = 30

// cosmesisYard has a vehicle for each patient, with the arm as its coating. The
// file's columns are the last time known good, the first known failed, the arm.
func cosmesisYard(t *testing.T, file string) *yard {
	t.Helper()
	y := newYard()
	for _, row := range readCSV(t, reference+file) {
		left, held := day(t, row[0], daysPerMonth)
		right, failed := day(t, row[1], daysPerMonth)
		var readings []clean
		if held {
			readings = append(readings, clean{left, 105})
		}
		if failed {
			readings = append(readings, clean{right, 80})
		}
		y.vehicle("Cfb", row[2], readings...)
	}
	return y
}

// TestLifeOfCosmesis turns the cosmesis data of Finkelstein and Wolfe,
// Biometrics 41 (1985) 933–945, into a fleet, an arm being a coating and a
// month 30 days, and goes the whole way from readings to the table. Masses,
// median intervals and the score test are those of
// testdata/reference/npmle/cosmesis.json: R 4.2.2, published arms; its Sun
// test agrees with the Z of −2.668 printed by Fay and Shaw (2010).
func TestLifeOfCosmesis(t *testing.T) {
	y := cosmesisYard(t, "npmle/cosmesis.csv")
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
	require.NoError(t, err)

	checks := readChecks(t, reference+"npmle/cosmesis.json")
	for _, row := range life.Rows {
		var want struct {
			N         int
			Intervals struct{ Left, Right []float64 }
			Mass      []float64
			Quantile  []struct {
				Share       float64 `json:"failure_probability"`
				Left, Right float64
			} `json:"quantile_interval"`
		}
		require.NoError(t, json.Unmarshal(checks["npmle-"+row.Coating], &want))
		assert.Equal(t, want.N, row.Patches)
		assert.Equal(t, want.N, row.Vehicles)

		const tolerance = 1e-6 // of the reference
		median := want.Quantile[1]
		require.Equal(t, 0.5, median.Share)
		inMonths := float64(daysPerMonth) / study.DaysPerMonth
		assert.InDelta(t, median.Left*inMonths, row.Median.Between.Low, tolerance)
		assert.InDelta(t, median.Right*inMonths, row.Median.Between.High, tolerance)

		for _, at := range []*Share{row.At12, row.At24} {
			// S lies between 1 less all mass that begins before the time and
			// 1 less all mass that ends by then.
			atLeast, atMost := 1.0, 1.0
			for j, mass := range want.Mass {
				if want.Intervals.Left[j]*inMonths < at.Months {
					atLeast -= mass
				}
				if want.Intervals.Right[j]*inMonths <= at.Months {
					atMost -= mass
				}
			}
			assert.InDelta(t, atLeast, at.AtLeast, tolerance)
			assert.InDelta(t, atMost, at.AtMost, tolerance)
			assert.True(t, at.Limits.Low <= at.AtLeast && at.AtMost <= at.Limits.High)
		}
	}

	var test struct {
		ChiSq float64 `json:"chisq"`
		DF    int
		// Permuted is by 20,000 random deals of the patients to the groups.
		Permuted struct {
			P  float64 `json:"p_value"`
			SE float64 `json:"monte_carlo_se"`
		} `json:"permutation_p"`
	}
	require.NoError(t, json.Unmarshal(checks["test-group-sun"], &test))
	require.Len(t, life.Comparisons, 1)
	assert.InEpsilon(t, test.ChiSq, life.Comparisons[0].ChiSquare, 1e-6)
	own := math.Sqrt(test.Permuted.P / relabellings) // standard error of a share so small
	assert.InDelta(t, test.Permuted.P, life.Comparisons[0].P, 4*math.Hypot(own, test.Permuted.SE))
	assert.Equal(t, test.DF, life.Comparisons[0].DF)
}

// TestDecayOfOneFit reads the made-up vehicle of
// testdata/reference/decay-curves/field-one-vehicle.csv as the clean readings
// of two vehicles, which changes limits but not the curve, and compares it
// with R 4.2.2 (nls): θ = b1 + (b2 − b1) e^(−b3 x).
func TestDecayOfOneFit(t *testing.T) {
	var readings [2][]clean
	for i, row := range readCSV(t, reference+"decay-curves/field-one-vehicle.csv") {
		x, _ := day(t, row[0], 1)
		angle, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		readings[i%2] = append(readings[i%2], clean{x, angle})
	}
	y := newYard()
	y.vehicle("Cfb", "A-1", readings[0]...)
	y.vehicle("Cfb", "A-1", readings[1]...)
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	require.Len(t, decays, 1)
	require.NotNil(t, decays[0].Curve)

	var want struct {
		Refined   struct{ Parameters []float64 }
		Threshold struct{ Threshold, Time float64 } `json:"time_to_threshold"`
	}
	require.NoError(t, json.Unmarshal(readChecks(t, reference+"decay-curves/field-one-vehicle.json")["exp_asymptote"], &want))
	require.Equal(t, 90.0, want.Threshold.Threshold)
	const tolerance = 1e-6 // of the reference
	assert.InEpsilon(t, want.Refined.Parameters[0], decays[0].Curve.Floor.Value, tolerance)
	assert.InEpsilon(t, want.Refined.Parameters[1], decays[0].Curve.Start.Value, tolerance)
	assert.InEpsilon(t, 1/want.Refined.Parameters[2], decays[0].Curve.Tau.Value, tolerance)
	assert.InEpsilon(t, want.Threshold.Time, decays[0].Crossing.Time, tolerance)
}

// readCSV returns the rows below the heading.
func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

// readChecks returns what the checks of a reference case expect, by id.
func readChecks(t *testing.T, path string) map[string]json.RawMessage {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var c struct {
		Checks []struct {
			ID       string
			Expected json.RawMessage
		}
	}
	require.NoError(t, json.Unmarshal(text, &c))
	checks := map[string]json.RawMessage{}
	for _, check := range c.Checks {
		checks[check.ID] = check.Expected
	}
	return checks
}

// day reads a time that may be blank.
func day(t *testing.T, cell string, daysPerUnit int) (day int, given bool) {
	t.Helper()
	if cell == "" {
		return 0, false
	}
	n, err := strconv.Atoi(cell)
	require.NoError(t, err)
	return n * daysPerUnit, true
}
