package reports

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

// claims judges what the yard's coatings are claimed to last, in months; nil for
// no end.
func (y *yard) claims(t contextual, low, high *float64, o ClaimOptions) *Claims {
	for i := range y.fleet.Coatings {
		y.fleet.Coatings[i].ClaimLowMonths, y.fleet.Coatings[i].ClaimHighMonths = low, high
	}
	c, err := NewClaims(t.Context(), y.fleet.Coatings, y.follow(), o)
	require.NoError(t, err)
	return c
}

// contextual is a test or a check of a property.
type contextual interface {
	require.TestingT
	Context() context.Context
}

// writtenBy is what is written.
func writtenBy(t *testing.T, write func(io.Writer) error) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, write(&out))
	return out.Bytes()
}

// quick asks for as few replicates as limits of 95 % can do with.
func quick(rule study.ClaimRule) ClaimOptions {
	return ClaimOptions{Rule: rule, BootstrapReplicates: 39, Seed: 1}
}

// The smallest samples without a failure that show a reliability with 95 %
// confidence are widely tabled (the success-run theorem; Hahn and Meeker,
// Statistical Intervals (1991); figures from memory): 14 for 80 %, 29 for 90 %, 59
// for 95 %. One vehicle fewer can't tell, and is told to be one short.
func TestClaimOfWhatNobodyFailed(t *testing.T) {
	t.Parallel()
	for promised, n := range map[float64]int{80: 14, 90: 29, 95: 59} {
		rule := study.DefaultClaimRule()
		rule.LowPct = promised
		y := newYard()
		for range n - 1 {
			v := y.held("Cfb", "A", 370)
			y.patch(v, "A", clean{380, 100}) // patches of one vehicle don't count
		}
		row := y.claims(t, new(12.0), nil, quick(rule)).Rows[0]
		assert.Equal(t, study.CannotTell, row.Verdict)
		assert.Equal(t, ByCount, row.Ends[0].Basis)
		assert.Equal(t, &MoreFollowUp{Vehicles: 1, Months: 12, VehicleMonths: 12}, row.More)

		y.held("Cfb", "A", 370)
		row = y.claims(t, new(12.0), nil, quick(rule)).Rows[0]
		assert.Equal(t, study.Supported, row.Verdict)
		assert.InDelta(t, math.Pow(0.05, 1/float64(n)), row.Ends[0].Limits.Low, 1e-12)
		assert.Empty(t, row.Outlook())
	}
}

// lungYard has a vehicle for each patient of the lung data, day for day.
func lungYard(t *testing.T) *yard {
	t.Helper()
	y := newYard()
	for _, row := range readCSV(t, reference+"kaplan-meier/lung.csv") {
		end, _ := day(t, row[2], 1)
		if row[3] == "1" {
			y.spent("Cfb", "A", end-1, end)
		} else {
			y.held("Cfb", "A", end)
		}
	}
	return y
}

// Loprinzi et al., J. Clin. Oncol. 12 (1994) 601–607: shares that outlast 6 and
// 12 months, with limits symmetric in log(−log S), by R 4.2.2 and survival 3.5-3
// (testdata/reference/kaplan-meier/lung.json). The bootstrap's limits are other
// ones, which come near to these in 228 vehicles of one patch.
func TestClaimOnLung(t *testing.T) {
	t.Parallel()
	var want struct {
		Time, Survival []float64
		CI             map[string]struct{ Lower, Upper []float64 }
	}
	require.NoError(t, json.Unmarshal(readChecks(t, reference+"kaplan-meier/lung.json")["km-all"], &want))
	row := lungYard(t).claims(t, new(6.0), new(12.0), DefaultClaimOptions(study.DefaultClaimRule())).Rows[0]
	for _, end := range row.Ends {
		i := sort.SearchFloat64s(want.Time, math.Floor(end.Months*study.DaysPerMonth)+0.5) - 1
		// Half of the day on which somebody died may have passed.
		assert.InDelta(t, want.Survival[i], end.Share.AtMost, 1e-6)
		assert.InDelta(t, want.CI["log_log"].Lower[i], end.Limits.Low, 0.02)
		assert.InDelta(t, want.CI["log_log"].Upper[i], end.Limits.High, 0.02)
		assert.InDelta(t, want.Survival[i], end.Weibull.Share, 0.04, "the lung data are close to a Weibull's")
	}
	// 71 % outlast 6 months, 64 to 76 %; 41 % outlast 12, 34 to 47 %.
	assert.Equal(t, []study.Verdict{study.Contradicted, study.Supported}, []study.Verdict{row.Ends[0].Verdict, row.Ends[1].Verdict})
	assert.Equal(t, study.Contradicted, row.Verdict)
}

// An arm of the cosmesis data between whole months: the share lies between what
// the masses of testdata/reference/npmle/cosmesis.json allow at that time.
func TestClaimOnCosmesis(t *testing.T) {
	t.Parallel()
	c := cosmesisYard(t, "npmle/cosmesis.csv").claims(t, new(7.25), new(30.0), quick(study.DefaultClaimRule()))
	checks := readChecks(t, reference+"npmle/cosmesis.json")
	require.Len(t, c.Rows, 2)
	for _, row := range c.Rows {
		var want struct {
			Intervals struct{ Left, Right []float64 }
			Mass      []float64
		}
		require.NoError(t, json.Unmarshal(checks["npmle-"+row.Coating], &want))
		for _, end := range row.Ends {
			atLeast, atMost := 1.0, 1.0
			at := end.Months * study.DaysPerMonth / daysPerMonth
			for j, mass := range want.Mass {
				if want.Intervals.Left[j] < at {
					atLeast -= mass
				}
				if want.Intervals.Right[j] <= at {
					atMost -= mass
				}
			}
			assert.GreaterOrEqual(t, end.Share.Share, atLeast-1e-6)
			assert.LessOrEqual(t, end.Share.Share, atMost+1e-6)
		}
	}
}

// Where all are spent before the higher end, it is contradicted though nobody
// was followed for so long: no more can hold later.
func TestClaimBeyondFollowUp(t *testing.T) {
	t.Parallel()
	y := newYard()
	for i := range 60 {
		y.spent("Cfb", "A", 200+i, 260+i)
	}
	end := y.claims(t, nil, new(36.0), quick(study.DefaultClaimRule())).Rows[0].Ends[0]
	assert.Equal(t, ByLastSeen, end.Basis)
	assert.Nil(t, end.Share)
	assert.Nil(t, end.Weibull, "it would be a forecast")
	assert.Equal(t, study.Contradicted, end.Verdict)
	assert.True(t, end.Widened)
	// Nobody of 60: 1 − 0.025^(1/60), Clopper and Pearson's.
	assert.InDelta(t, 1-math.Pow(0.025, 1.0/60), end.Limits.High, 1e-9)

	// The months of the table end within the stretch in which all are spent.
	at := newYard()
	for range 20 {
		at.spent("Cfb", "A", 300, 330)
	}
	end = at.claims(t, new(12.0), nil, quick(study.DefaultClaimRule())).Rows[0].Ends[0]
	assert.Equal(t, study.Contradicted, end.Verdict)
	assert.InDelta(t, 330/study.DaysPerMonth, end.SeenMonths, 1e-9)
	assert.InDelta(t, 1-math.Pow(0.025, 1.0/20), end.Limits.High, 1e-9)

	for i := range 30 {
		y.held("Cfb", "A", 300+i)
	}
	row := y.claims(t, nil, new(36.0), quick(study.DefaultClaimRule())).Rows[0]
	assert.Equal(t, study.CannotTell, row.Verdict)
	assert.Equal(t, 30, row.Ends[0].Waiting)
	lacking := 0.0
	for i := range 30 {
		lacking += 36 - float64(300+i)/study.DaysPerMonth
	}
	assert.InDelta(t, lacking, row.Ends[0].WaitingMonths, 1e-9)
	assert.Contains(t, row.Outlook(), "can’t be said")
}

// Too few are spent for an estimate: a count of vehicles may support a claim and
// contradicts none.
func TestClaimByCount(t *testing.T) {
	t.Parallel()
	y := newYard()
	for range 3 {
		y.spent("Cfb", "A", 100, 200)
	}
	for range 37 {
		y.held("Cfb", "A", 400)
	}
	end := y.claims(t, new(12.0), nil, quick(study.DefaultClaimRule())).Rows[0].Ends[0]
	assert.Equal(t, []int{37, 40}, []int{end.Held, end.Counted})
	assert.Nil(t, end.Share)
	assert.Equal(t, study.Supported, end.Verdict)

	y = newYard()
	for range 4 {
		y.spent("Cfb", "A", 100, 200)
	}
	y.held("Cfb", "A", 400)
	row := y.claims(t, new(12.0), nil, quick(study.DefaultClaimRule())).Rows[0]
	assert.Equal(t, study.CannotTell, row.Verdict)
	assert.Nil(t, row.More)
	assert.True(t, row.Ends[0].TooNear)
}

func TestWhatIsClaimed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		low, high *float64
		says      string
		ends      []End
	}{
		{new(12.0), new(24.0), "12 to 24 months", []End{LowEnd, HighEnd}},
		{new(12.0), nil, "12 months or more", []End{LowEnd}},
		{nil, new(24.0), "up to 24 months", []End{HighEnd}},
		{new(0.0), new(24.0), "up to 24 months", []End{HighEnd}},
		{new(18.5), new(18.5), "18.5 months", []End{LowEnd}},
	} {
		y := newYard()
		y.coating("A")
		rows := y.claims(t, c.low, c.high, quick(study.DefaultClaimRule())).Rows
		require.Len(t, rows, 1, "a coating without patches has its row")
		assert.Equal(t, c.says, rows[0].Claim())
		assert.Equal(t, study.CannotTell, rows[0].Verdict)
		var ends []End
		for _, end := range rows[0].Ends {
			ends = append(ends, end.End)
			assert.Equal(t, ByNothing, end.Basis)
		}
		assert.Equal(t, c.ends, ends)
		assert.Equal(t, []string{"Nothing is known of the life of any of its patches yet."}, rows[0].Reasons())
	}
	y := newYard()
	y.coating("BARE")
	assert.Empty(t, y.claims(t, new(12.0), nil, quick(study.DefaultClaimRule())).Rows, "a control has no life")
	y.coating("A")
	none := y.claims(t, nil, nil, quick(study.DefaultClaimRule()))
	assert.Empty(t, none.Rows)
	assert.Contains(t, none.Notes[0], "coatings.csv")

	_, err := NewClaims(t.Context(), nil, nil, quick(study.ClaimRule{LowPct: 80, HighPct: 10, ConfidencePct: 100}))
	require.ErrorIs(t, err, ErrOptions)
	assert.ErrorContains(t, err, "claim_confidence_pct")
	_, err = NewClaims(t.Context(), nil, nil, ClaimOptions{Rule: study.DefaultClaimRule(), BootstrapReplicates: 10})
	require.ErrorIs(t, err, ErrOptions)
}

// randomYard is a fleet of one coating whose lives and follow-up are drawn.
func randomYard(r *rapid.T, stretch int) *yard {
	y := newYard()
	for range rapid.IntRange(1, 40).Draw(r, "vehicles") {
		from, gap := rapid.IntRange(30, 700).Draw(r, "held"), rapid.IntRange(20, 120).Draw(r, "gap")
		if rapid.Bool().Draw(r, "spent") {
			y.spent("Cfb", "A", stretch*from, stretch*(from+gap))
		} else {
			y.held("Cfb", "A", stretch*from)
		}
	}
	return y
}

// Lives and claim twice as long: the same verdict, the same shares.
func TestClaimHasNoUnit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		seed := rapid.Uint64().Draw(r, "seed")
		build := func(stretch int) ClaimRow {
			y := rapidYard(seed, stretch)
			return y.claims(r, new(9.0*float64(stretch)), new(15.0*float64(stretch)), quick(study.DefaultClaimRule())).Rows[0]
		}
		once, twice := build(1), build(2)
		assert.Equal(r, once.Verdict, twice.Verdict)
		for i, end := range once.Ends {
			other := twice.Ends[i]
			assert.Equal(r, end.Basis, other.Basis)
			assert.Equal(r, end.Verdict, other.Verdict)
			if end.Basis != ByLastSeen { // whose time is a half month
				assert.InDelta(r, end.Limits.Low, other.Limits.Low, 0.02)
				assert.InDelta(r, end.Limits.High, other.Limits.High, 0.02)
			}
		}
	})
}

// rapidYard draws a fleet from a seed.
func rapidYard(seed uint64, stretch int) *yard {
	draw := rand.New(rand.NewPCG(seed, 3))
	y := newYard()
	for range 5 + draw.IntN(40) {
		held := 30 + draw.IntN(600)
		if draw.IntN(3) > 0 {
			y.spent("Cfb", "A", stretch*held, stretch*(held+20+draw.IntN(100)))
		} else {
			y.held("Cfb", "A", stretch*held)
		}
	}
	return y
}

// More vehicles that hold beyond the claim never make a supported one
// contradicted, nor take away its support where it rests on a count.
func TestMoreThatHoldContradictNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		y := randomYard(r, 1)
		before := y.claims(r, new(8.0), new(14.0), quick(study.DefaultClaimRule())).Rows[0]
		for range rapid.IntRange(1, 20).Draw(r, "more") {
			y.held("Cfb", "A", 600)
		}
		after := y.claims(r, new(8.0), new(14.0), quick(study.DefaultClaimRule())).Rows[0]
		if before.Verdict == study.Supported {
			assert.NotEqual(r, study.Contradicted, after.Verdict)
		}
		for i, end := range before.Ends {
			if end.Basis == ByCount && after.Ends[i].Basis == ByCount {
				assert.GreaterOrEqual(r, after.Ends[i].Limits.Low, end.Limits.Low)
			}
		}
	})
}

// Tables of life that were made already give the same verdicts, digit for digit,
// and those of another level are not taken.
func TestClaimsFromTablesOfLife(t *testing.T) {
	t.Parallel()
	y := madeUpYard(3, 60)
	o := ClaimOptions{Rule: study.DefaultClaimRule(), BootstrapReplicates: 59, Seed: 9}
	plain := y.claims(t, new(10.0), new(18.0), o)
	for _, level := range []float64{0.95, 0.9} {
		lives := LifeOptions{Level: level, BootstrapReplicates: 59, Seed: 9}
		var err error
		lives.By = []By{ByCoating}
		o.Life, err = NewLife(t.Context(), y.follow(), lives)
		require.NoError(t, err)
		lives.By = []By{ByCoating, ByClimate}
		o.ByClimate, err = NewLife(t.Context(), y.follow(), lives)
		require.NoError(t, err)
		done, total := 0, 0
		o.Progress = func(d, all int) { done, total = d, all }
		assert.Equal(t, writtenBy(t, plain.WriteJSON), writtenBy(t, y.claims(t, new(10.0), new(18.0), o).WriteJSON))
		assert.Equal(t, total, done)
		assert.Equal(t, 6*59, total)
	}
}

func TestWriteClaims(t *testing.T) {
	t.Parallel()
	c := madeUpYard(3, 60).claims(t, new(10.0), new(18.0), ClaimOptions{Rule: study.DefaultClaimRule(), BootstrapReplicates: 59, Seed: 9})
	var out struct {
		Claims []struct {
			Coating   string
			Verdict   string
			Low       float64           `json:"claim_low_months"`
			Ends      []claimEndRecord  `json:"ends"`
			ByClimate []json.RawMessage `json:"by_climate"`
			Sentences []string
		}
	}
	require.NoError(t, json.Unmarshal(writtenBy(t, c.WriteJSON), &out))
	require.Len(t, out.Claims, 2)
	text := string(writtenBy(t, c.WriteText))
	for i, row := range out.Claims {
		assert.Equal(t, c.Rows[i].Coating, row.Coating)
		assert.Equal(t, string(c.Rows[i].Verdict), row.Verdict)
		assert.InDelta(t, 10, row.Low, 0)
		assert.Len(t, row.Ends, 2)
		assert.Len(t, row.ByClimate, 2)
		assert.Contains(t, row.Sentences[0], row.Coating)
		assert.Contains(t, text, c.Rows[i].Finding())
	}
	assert.Contains(t, text, "not a warranty")
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, len([]rune(line)), 140)
	}

	lines, err := csv.NewReader(bytes.NewReader(writtenBy(t, c.WriteCSV))).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 1+2*2*3, "a line for each end, of each coating and in each climate")
	column := map[string]int{}
	for i, name := range lines[0] {
		column[name] = i
	}
	low, err := strconv.ParseFloat(lines[1][column["share_at_least"]], 64)
	require.NoError(t, err)
	assert.Equal(t, out.Claims[0].Ends[0].Low, low) //nolint:testifylint // full precision is what is asked for
	assert.Equal(t, "low", lines[1][column["end"]])
	assert.Empty(t, lines[1][column["climate"]])
	assert.Equal(t, "BWh", lines[3][column["climate"]])
}

// A limit that rounds to what is promised shows on which side it lies.
func TestLimitsBesideThePromise(t *testing.T) {
	t.Parallel()
	end := ClaimEnd{Promised: 0.8, Limits: Limits{0.51, 0.797}}
	assert.Equal(t, "51–79.7 %", end.limits())
	end.Limits = Limits{0.8, 0.82}
	assert.Equal(t, "80–82 %", end.limits())
}
