package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// With many groups the population is all but known, so that an outlook is that
// of a group's own curve with its errors, and that of a group that nothing was
// read of is the population's.
func TestOutlookOfManyGroups(t *testing.T) {
	fit, _ := fittedFleet(t, 200, fleetModel)
	populations := fit.Draw(400, 1)
	ask := OutlookOptions{Times: []float64{200, 300}, Threshold: 75, Level: 0.95}

	own, err := fit.Of(5, 1, []float64{1})
	require.NoError(t, err)
	want, err := own.Predict(ask.Times, ask.Level)
	require.NoError(t, err)
	got, err := populations.Outlook(5, 1, []float64{1}, ask)
	require.NoError(t, err)
	assert.Equal(t, OwnReadings, got.Basis)
	assert.Equal(t, 1., got.Agreeing)
	// 8000 curves leave a limit an error of about 3 % of its distance.
	for i, p := range got.Points {
		reach := want[i].Upper - want[i].Value
		near(t, "value", p.Value, want[i].Value, check.Tolerance{Abs: 0.1 * reach})
		near(t, "lower", p.Lower, want[i].Lower, check.Tolerance{Abs: 0.15 * reach})
		near(t, "upper", p.Upper, want[i].Upper, check.Tolerance{Abs: 0.15 * reach})
		reach = want[i].NewUpper - want[i].Value
		near(t, "lower of a reading", p.NewLower, want[i].NewLower, check.Tolerance{Abs: 0.1 * reach})
		near(t, "upper of a reading", p.NewUpper, want[i].NewUpper, check.Tolerance{Abs: 0.1 * reach})
	}

	got, err = populations.Outlook(9999, 0, []float64{1}, ask)
	require.NoError(t, err)
	assert.Equal(t, NoneOfItsOwn, got.Basis)
	passage, err := fit.Typical([]float64{1}).Passage(75, 1000, 20_000, 3)
	require.NoError(t, err)
	for _, p := range got.Points {
		below, se := passage.By(p.Time)
		near(t, "below", p.Below, below, check.Tolerance{Abs: 6*se + 0.01})
	}
}

// What is known to have held raises the outlook, and by as much as Bayes' rule
// says: P(below by t | held at h) = (P(below by t) − P(below by h))/(1 − P(below by h)).
func TestOutlookGivenThatItHeld(t *testing.T) {
	fit, _ := fittedFleet(t, 60, fleetModel)
	populations := fit.Draw(400, 1)
	ask := OutlookOptions{Times: []float64{200, 300}, Threshold: 80, Level: 0.95, Curves: 40}
	before, err := populations.Outlook(9999, 0, []float64{0}, ask)
	require.NoError(t, err)
	held := 200.
	ask.HeldAt = &held
	after, err := populations.Outlook(9999, 0, []float64{0}, ask)
	require.NoError(t, err)
	gone := before.Points[0].Below
	near(t, "agreeing", after.Agreeing, 1-gone, check.Tolerance{Abs: 1e-12})
	assert.Zero(t, after.Points[0].Below)
	near(t, "below", after.Points[1].Below, (before.Points[1].Below-gone)/(1-gone), check.Tolerance{Abs: 1e-12})
	assert.GreaterOrEqual(t, after.Points[0].Lower, 80.)
	assert.Greater(t, after.Points[1].Value, before.Points[1].Value)

	again, err := populations.Outlook(9999, 0, []float64{0}, ask)
	require.NoError(t, err)
	assert.Equal(t, after, again)

	held = 5000
	none, err := populations.Outlook(9999, 0, []float64{0}, ask)
	require.NoError(t, err)
	assert.Empty(t, none.Points)
	assert.Contains(t, none.Notes[0], "contradict")
}

func TestOutlookNotes(t *testing.T) {
	readings := func(vehicles int) []Reading {
		var list []Reading
		for v := range vehicles {
			for p := range 2 {
				for i := range 6 {
					day := 60 * float64(i)
					off := []float64{1, -2, 2, -1, 0.5, -0.5}[(i+v+p)%6]
					τ := 200 * math.Exp(0.2*float64(v%3-1)+0.1*float64(p))
					list = append(list, Reading{Time: day, Value: 55 + 55*math.Exp(-day/τ) + off, Weight: 1, Outer: v, Inner: p})
				}
			}
		}
		return list
	}
	model := CurveModel{
		Curve: fleetModel.Curve, Start: []float64{50, 105, 250},
		Parameters: []Parameter{{}, {}, {Log: true, Outer: true, Inner: true}},
	}
	list := append(readings(24),
		Reading{Time: 10, Value: 108, Weight: 1, Outer: 100}, Reading{Time: 300, Value: 69, Weight: 1, Outer: 100},
		Reading{Time: 1, Value: 109, Weight: 1, Outer: 101}, Reading{Time: 2, Value: 110, Weight: 1, Outer: 101}, Reading{Time: 3, Value: 108, Weight: 1, Outer: 101},
	)
	fit, err := Curves(list, model)
	require.NoError(t, err)
	ask := OutlookOptions{Times: []float64{100, 400}, Threshold: 75, Level: 0.95}
	populations := fit.Draw(100, 1)
	for name, c := range map[string]struct {
		outer, inner int
		note         string
	}{
		"one that is well read":    {3, 1, "after time 300"},
		"two readings":             {100, 0, "Only 2 readings"},
		"three within three days":  {101, 0, "so close in time"},
		"another of its own outer": {3, 7, "rests on 12 readings of those it belongs with"},
		"unknown":                  {7000, 0, "not of this one"},
	} {
		o, err := populations.Outlook(c.outer, c.inner, nil, ask)
		require.NoError(t, err)
		require.NotEmpty(t, o.Notes, name)
		assert.Contains(t, o.Notes[0], c.note, name)
		assert.False(t, o.Points[0].Extrapolated)
		assert.True(t, o.Points[1].Extrapolated)
	}

	fit, err = Curves(readings(4), model)
	require.NoError(t, err)
	o, err := fit.Draw(10, 1).Outlook(0, 0, nil, ask)
	require.NoError(t, err)
	assert.Empty(t, o.Points)
	assert.Contains(t, o.Notes[0], "Only 4 groups")

	for name, wrong := range map[string]func(*OutlookOptions){
		"level":     func(o *OutlookOptions) { o.Level = 0 },
		"ascending": func(o *OutlookOptions) { o.Times = []float64{2, 1} },
		"no times":  func(o *OutlookOptions) { o.Times = nil },
		"threshold": func(o *OutlookOptions) { o.Threshold = math.Inf(1) },
		"weight -1": func(o *OutlookOptions) { o.Weight = -1 },
		"held":      func(o *OutlookOptions) { o.HeldAt = new(math.NaN()) },
	} {
		bad := ask
		wrong(&bad)
		_, err := populations.Outlook(0, 0, nil, bad)
		assert.ErrorContains(t, err, name)
	}
}

// Whatever the readings: probabilities rise and are ones, shares fall, limits
// are in order, nothing is NaN.
func TestOutlookAndLifeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 20))
		readings, _ := drawFleet(random, rapid.IntRange(5, 9).Draw(t, "vehicles"), rapid.IntRange(3, 6).Draw(t, "most"))
		for range rapid.IntRange(0, 3).Draw(t, "odd") {
			readings[random.IntN(len(readings))].Value = 180 * random.Float64()
		}
		model := fleetModel
		model.Nodes = rapid.IntRange(0, 1).Draw(t, "nodes")
		fit, err := Curves(readings, model)
		if err != nil {
			return // TestCurvesNeverNaN looks at these
		}
		populations := fit.Draw(30, 1)
		threshold := rapid.Float64Range(0, 180).Draw(t, "threshold")
		times := []float64{0, 100, 250, 600, 2000}
		o, err := populations.Outlook(rapid.IntRange(0, 12).Draw(t, "outer"), rapid.IntRange(0, 3).Draw(t, "inner"), []float64{1},
			OutlookOptions{Times: times, Threshold: threshold, Level: 0.9})
		require.NoError(t, err)
		below := 0.0
		for _, p := range o.Points {
			require.LessOrEqual(t, below, p.Below)
			require.LessOrEqual(t, p.Below, 1.0)
			require.True(t, p.Lower <= p.Value && p.Value <= p.Upper && p.NewLower <= p.NewUpper, "%+v", p)
			below = p.Below
		}
		life, err := populations.Life(LifeOptions{Threshold: threshold, Times: times, Level: 0.9, Groups: 200})
		require.NoError(t, err)
		above := 1.0
		for _, p := range life.Points {
			require.True(t, 0 <= p.Above && p.Above <= above && p.Lower <= p.Upper, "%+v", p)
			above = p.Above
		}
		require.True(t, life.Median.Lower <= life.Median.Upper && life.Mean.Lower <= life.Mean.Upper && life.Mean.Value >= 0)
	})
}
