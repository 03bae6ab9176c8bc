package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/exposure"
)

// TestClocksOfCosmesis puts the cosmesis data of Finkelstein and Wolfe,
// Biometrics 41 (1985) 933–945, on the calendar, an arm being a coating and a
// month 30 days. Log-likelihood and medians are those of
// testdata/reference/aft/cosmesis-interval.json: R 4.2.2, survreg.
func TestClocksOfCosmesis(t *testing.T) {
	y := cosmesisYard(t, "aft/cosmesis-interval.csv")
	c, err := NewClocks(t.Context(), y.follow(), exposure.Sites{}, DefaultClockOptions())
	require.NoError(t, err)
	row := c.Row(exposure.Months)
	require.NotNil(t, row)

	var want struct {
		LogLik      float64
		Predictions []struct {
			X         map[string]float64
			Quantiles []struct {
				P        float64 `json:"failure_probability"`
				Quantile float64
			}
		}
	}
	check := map[string]string{"weibull": "chemo-weibull", "lognormal": "chemo-lognormal", "loglogistic": "chemo-loglogistic"}[c.Law]
	require.NoError(t, json.Unmarshal(readChecks(t, reference+"aft/cosmesis-interval.json")[check], &want))
	assert.InDelta(t, want.LogLik, row.LogLik, 1e-5)
	require.Len(t, want.Predictions, 2)
	for i, p := range want.Predictions {
		require.Equal(t, float64(i), p.X["chemo"])
		for _, q := range p.Quantiles {
			if q.P == 0.5 {
				assert.InEpsilon(t, q.Quantile*daysPerMonth/study.DaysPerMonth, row.Lives[i].Median, 1e-5)
				assert.Less(t, row.Lives[i].Limits.Low, row.Lives[i].Median)
				assert.Greater(t, row.Lives[i].Limits.High, row.Lives[i].Median)
			}
		}
	}
}

// Kilometres at the same rate for all are the calendar in another unit: neither
// fits better, medians and limits are one another's, and that is no difference.
func TestClocksInProportion(t *testing.T) {
	y := madeUpYard(4, 60)
	for i := range y.fleet.Vehicles {
		y.fleet.Vehicles[i].KmPerYear = new(12_000.0)
	}
	c, err := NewClocks(t.Context(), y.follow(), exposure.Sites{}, DefaultClockOptions())
	require.NoError(t, err)
	calendar, km := c.Row(exposure.Months), c.Row(exposure.Km)
	require.NotNil(t, calendar)
	require.NotNil(t, km)
	assert.InDelta(t, calendar.LogLik, km.LogLik, 1e-6)
	assert.Equal(t, calendar.AsGood, km.AsGood)
	assert.Zero(t, calendar.Still)
	for i, l := range calendar.Lives {
		assert.InEpsilon(t, 1000*l.Median, km.Lives[i].Median, 1e-6)
		assert.InEpsilon(t, 1000*l.Limits.Low, km.Lives[i].Limits.Low, 1e-5)
		assert.InEpsilon(t, 1000*l.Longest, km.Lives[i].Longest, 1e-9)
	}
	assert.InEpsilon(t, calendar.Climate.Ratio, km.Climate.Ratio, 1e-6)
	assert.Equal(t, []string{"BWh", "Cfb"}, c.Climates)
}

// Every clock that isn't compared says why, and the rest goes on without.
func TestClocksNotKnown(t *testing.T) {
	y := madeUpYard(5, 40)
	c, err := NewClocks(t.Context(), y.follow(), exposure.Sites{}, DefaultClockOptions())
	require.NoError(t, err)
	for _, row := range c.Rows {
		switch row.Clock {
		case exposure.Months, exposure.Washes: // the yard's readings follow washes
			assert.Empty(t, row.Why)
		case exposure.Km:
			assert.Contains(t, row.Why, "known for 0 of 80 patches; of most others, how far the vehicle drives")
		default:
			assert.Contains(t, row.Why, "site isn't known")
		}
	}

	// A site without any frost leaves nothing to count in freeze-thaw days.
	sites := places()[3:4]
	a := newAgeing(t, sites, exposure.Months, middlings()[exposure.Months])
	c, err = NewClocks(t.Context(), ptr(a.fleet(1, sites, 30)).Follow(atOnce()), a.sites, DefaultClockOptions())
	require.NoError(t, err)
	last := c.Rows[len(c.Rows)-1]
	assert.Equal(t, exposure.FreezeThaw, last.Clock)
	assert.Contains(t, last.Why, "less than one of its freeze-thaw days a year")
	for _, row := range c.Rows {
		assert.Nil(t, row.Climate, "there is one climate")
	}
}

func ptr[T any](v T) *T { return &v }

// Patches that aren't known on every clock are compared on none.
func TestClocksOnTheSamePatches(t *testing.T) {
	y := madeUpYard(6, 60)
	for i := range y.fleet.Vehicles {
		if i%6 != 0 {
			y.fleet.Vehicles[i].KmPerYear = new(9000.0 + 100*float64(i))
		}
	}
	c, err := NewClocks(t.Context(), y.follow(), exposure.Sites{}, DefaultClockOptions())
	require.NoError(t, err)
	assert.Equal(t, 100, c.Patches)
	assert.Equal(t, 20, c.LeftOut)
	require.NotNil(t, c.Row(exposure.Km))
	n := 0
	for _, l := range c.Row(exposure.Months).Lives {
		n += l.Patches
	}
	assert.Equal(t, 100, n)
}

// Ends without a wash between two checkups are counted, and are no bar.
func TestClocksThatStandStill(t *testing.T) {
	sites := places()
	a := newAgeing(t, sites, exposure.Months, middlings()[exposure.Months])
	fleet := a.fleet(2, sites, 60)
	c, err := NewClocks(t.Context(), fleet.Follow(atOnce()), a.sites, DefaultClockOptions())
	require.NoError(t, err)
	frost := c.Row(exposure.FreezeThaw)
	require.NotNil(t, frost)
	assert.Greater(t, frost.Still, 10, "summers, and a desert")
	assert.False(t, math.IsInf(frost.LogLik, 0))
	assert.False(t, frost.AsGood)
	assert.Zero(t, c.Row(exposure.Km).Still)
}

func TestClocksOfTooLittle(t *testing.T) {
	y := newYard()
	for range 4 {
		y.spent("Cfb", "A", 100, 200)
	}
	c, err := NewClocks(t.Context(), y.follow(), exposure.Sites{}, DefaultClockOptions())
	require.NoError(t, err)
	assert.Zero(t, c.Patches)
	assert.Nil(t, c.Tables())
	assert.Contains(t, c.Sentence(), "Too few patches were spent")
	var b bytes.Buffer
	require.NoError(t, c.WriteText(&b))
	require.NoError(t, c.WriteJSON(&b))
	for _, level := range []float64{0, 1, math.NaN()} {
		_, err = NewClocks(t.Context(), nil, nil, ClockOptions{Level: level})
		assert.ErrorIs(t, err, ErrOptions)
	}
}

func TestClocksOnPaper(t *testing.T) {
	sites := places()
	a := newAgeing(t, sites, exposure.UV, middlings()[exposure.UV])
	fleet := a.fleet(3, sites, 100)
	c, err := NewClocks(t.Context(), fleet.Follow(atOnce()), a.sites, DefaultClockOptions())
	require.NoError(t, err)
	assert.Contains(t, c.Sentence(), "Lives line up best by ultraviolet dose")
	assert.Contains(t, c.Sentence(), "by the calendar the climates differ")
	// Doses are 150 MJ/m² a year in Dfb and 390 in BWh, 2.6 times as much.
	calendar := c.Row(exposure.Months).Climate
	assert.Equal(t, []string{"Dfb", "BWh"}, []string{calendar.Longest, calendar.Shortest})
	assert.InDelta(t, 2.6, calendar.Ratio, 0.6)
	assert.NotEqual(t, "weibull", c.Law, "lives are log-normal")
	var text, record bytes.Buffer
	require.NoError(t, c.WriteText(&text))
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len([]rune(strings.TrimSpace(line))), 90, line)
	}
	require.NoError(t, c.WriteJSON(&record))
	var got struct {
		Clocks []struct {
			Clock, Unit string
			LogLik      float64 `json:"log_likelihood"`
			Behind      float64 `json:"log_likelihood_behind_best"`
			Half        []struct {
				Coating string
				Median  float64 `json:"median_in_unit"`
				Lower   float64 `json:"lower_in_unit"`
				Upper   float64 `json:"upper_in_unit"`
			} `json:"half_spent_by"`
		}
	}
	require.NoError(t, json.Unmarshal(record.Bytes(), &got))
	require.Equal(t, "uv", got.Clocks[0].Clock)
	assert.Equal(t, "MJ/m²", got.Clocks[0].Unit)
	// What the fleet was made with lies within the limits.
	for i, coating := range []string{"A", "B"} {
		half := got.Clocks[0].Half[i]
		assert.Equal(t, coating, half.Coating)
		assert.Less(t, half.Lower, middlings()[exposure.UV][coating])
		assert.Greater(t, half.Upper, middlings()[exposure.UV][coating])
	}
	for _, row := range got.Clocks[1:] {
		assert.InDelta(t, got.Clocks[0].LogLik-row.LogLik, row.Behind, 1e-9)
	}
}
