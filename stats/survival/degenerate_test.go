package survival_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// curves estimates in each of the ways for exact and right-censored spans.
func curves(t require.TestingT, spans []Span) map[string]*Curve {
	made := map[string]*Curve{}
	km, err := KaplanMeier(spans, 0.95)
	require.NoError(t, err)
	made["kaplan-meier"] = km
	for name, ties := range map[string]Ties{"together": TiesTogether, "in turn": TiesInTurn} {
		made[name], err = FlemingHarrington(spans, 0.95, ties)
		require.NoError(t, err)
	}
	return made
}

// sane asks everything of a curve and fails where an answer is out of its range.
func sane(t require.TestingT, c *Curve, bands bool) {
	last := 1.0
	for _, scale := range []Scale{LogLog, Plain, Log, Logit, ArcSine} {
		scaled := c.WithScale(scale)
		for _, s := range scaled.Steps {
			require.False(t, s.Survival < 0 || s.Survival > 1 || math.IsNaN(s.Survival), "%+v", s)
			require.False(t, s.Lower < 0 || s.Upper > 1 || s.Lower > s.Survival+1e-12 || s.Upper < s.Survival-1e-12, "%+v", s)
			require.GreaterOrEqual(t, s.AtRisk, 0.0)
		}
		for _, kind := range []BandKind{EqualPrecision, HallWellner} {
			if !bands || scale != LogLog {
				break // they take long
			}
			band, err := scaled.Band(kind, 0, math.Inf(1))
			if err != nil {
				require.ErrorIs(t, err, ErrBand)
				continue
			}
			for _, s := range band.Steps {
				require.False(t, s.Lower < 0 || s.Upper > 1 || s.Lower > s.Survival+1e-12 || s.Upper < s.Survival-1e-12, "%+v", s)
			}
		}
	}
	for _, s := range c.Steps {
		require.LessOrEqual(t, s.Survival, last)
		last = s.Survival
	}
	for _, p := range []float64{1e-9, 0.5, 1 - 1e-9} {
		require.LessOrEqual(t, c.FirstQuantile(p).Time, c.Quantile(p).Time)
	}
	end := c.Steps[len(c.Steps)-1].Time
	for _, tau := range []float64{end / 2, end, 2 * end, math.Inf(1)} {
		if tau > 0 {
			m, err := c.RestrictedMean(tau)
			require.NoError(t, err)
			require.False(t, m.Mean < 0 || m.Mean > tau*(1+1e-12) || m.SE < 0, "%+v", m)
		}
	}
}

func TestDegenerateFleets(t *testing.T) {
	for name, spans := range map[string][]Span{
		"one end":                    {Exact(3)},
		"one censored":               {RightCensored(3)},
		"one end at the start":       {Exact(0)},
		"one censored at the start":  {RightCensored(0)},
		"all censored":               {RightCensored(1), RightCensored(2), RightCensored(2)},
		"all end at once":            {Exact(5), Exact(5), Exact(5)},
		"all end at the start":       {Exact(0), Exact(0)},
		"censored at a late entry":   {RightCensored(4).EnteredAt(4)},
		"ends while nobody is left":  {Exact(2), Exact(9).EnteredAt(5), RightCensored(11).EnteredAt(5)},
		"huge times":                 {Exact(1e9), RightCensored(2e9), Exact(3e9), Exact(4e9).EnteredAt(1e9)},
		"times at the end of floats": {Exact(math.MaxFloat64), RightCensored(math.MaxFloat64 / 2), Exact(1e300)},
		"tiny times":                 {Exact(5e-324), RightCensored(1e-300), Exact(2e-300)},
		"tiny and huge weights":      {Exact(1).Weighing(1e-12), Exact(2).Weighing(1e12), Exact(3), RightCensored(4).Weighing(1e-12)},
	} {
		t.Run(name, func(t *testing.T) {
			for name, c := range curves(t, spans) {
				sane(t, c, name == "kaplan-meier")
				assert.Equal(t, len(spans), c.N)
			}
		})
	}
}

func TestAnyFleetIsSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 12, true, false)
		for i := range spans {
			if rapid.Bool().Draw(t, "weighed") {
				spans[i] = spans[i].Weighing(rapid.Float64Range(1e-3, 1e3).Draw(t, "weight"))
			}
		}
		for name, c := range curves(t, spans) {
			sane(t, c, name == "kaplan-meier")
		}
	})
}

// A weight of 3 is three lives alike, in all that a curve tells but N; and weights
// of a third as much change S not at all and errors by √3.
func TestWeightIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights, repeats := weighed(t, false)
		want, got := curves(t, repeats), curves(t, weights)
		for name := range want {
			if name == "in turn" {
				continue // there a span is one end, whatever its weight
			}
			w, g := want[name], got[name]
			require.Equal(t, len(repeats), int(g.Lives))
			requireAlike(t, w, g, 1)
			require.Equal(t, w.AtRisk(3.5), g.AtRisk(3.5))
		}
		thirds := slices.Clone(weights)
		for i := range thirds {
			thirds[i].Weight /= 3
		}
		less := curves(t, thirds)
		for _, name := range []string{"kaplan-meier", "together"} {
			requireAlike(t, want[name], less[name], math.Sqrt(3))
			require.InDelta(t, want[name].AtRisk(3.5)/3, less[name].AtRisk(3.5), 1e-12)
		}
	})
}

func requireAlike(t *rapid.T, want, got *Curve, widened float64) {
	require.Len(t, got.Steps, len(want.Steps))
	for i, w := range want.Steps {
		g := got.Steps[i]
		require.Equal(t, w.Time, g.Time)
		require.InDelta(t, w.Survival, g.Survival, 1e-12)
		require.Equal(t, w.Survival == 0, g.Survival == 0, "nobody is left in both or neither")
		if !math.IsNaN(w.SE) || !math.IsNaN(g.SE) {
			require.True(t, check.Near(g.SE, w.SE*widened, check.Tolerance{Rel: 1e-9, Abs: 1e-12}), "%v %v", w, g)
		}
	}
}
