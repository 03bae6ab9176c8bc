package survival_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// Random fleets: whole days, so that ends and entries often coincide.

// drawn makes between 1 and n lives with the kinds of end asked for.
func drawn(t *rapid.T, n int, entries, intervals bool) []Span {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Span {
		lower := float64(rapid.IntRange(0, 12).Draw(t, "lower"))
		s := Exact(lower)
		kinds := 2
		if intervals {
			kinds = 5
		}
		switch rapid.IntRange(0, kinds-1).Draw(t, "kind") {
		case 1:
			s = RightCensored(lower)
		case 2:
			s = LeftCensored(lower + 1)
		case 3, 4:
			s = Between(lower, lower+float64(rapid.IntRange(1, 6).Draw(t, "width")))
		}
		if entries && rapid.Bool().Draw(t, "late") {
			last := int(s.Lower)
			if s.Lower == s.Upper {
				last-- // or it never was at risk
			}
			if last > 0 {
				s = s.EnteredAt(float64(rapid.IntRange(1, last).Draw(t, "entry")))
			}
		}
		return s
	}), 1, n).Draw(t, "spans")
}

// Turnbull (1976): on exact and right-censored spans the estimate is the
// product-limit one. With delayed entry too.
func TestTurnbullIsKaplanMeierWhereBothApply(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := slices.DeleteFunc(drawn(t, 40, true, false), saysNothing)
		if len(spans) == 0 {
			return
		}
		km, err := KaplanMeier(spans, 0.95)
		require.NoError(t, err)
		np, err := Turnbull(spans)
		require.NoError(t, err)
		tol := check.Tolerance{Abs: 1e-12}
		for day := 0.0; day <= km.Steps[len(km.Steps)-1].Time; day += 0.5 {
			want, got := km.At(day).Survival, np.At(day)
			if !check.Near(got.Lower, want, tol) || !check.Near(got.Upper, want, tol) {
				t.Fatalf("S(%v): got %+v, want %v", day, got, want)
			}
		}
		for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
			want, got := km.Quantile(p).Time, np.Quantile(p).Time
			if !check.Near(got, want, check.Tolerance{Abs: 1e-9}) {
				t.Fatalf("quantile %v: got %v, want %v", p, got, want)
			}
		}
	})
}

// saysNothing: censored at its late entry. A Kaplan–Meier curve still ends at
// its time; for Turnbull it does not exist.
func saysNothing(s Span) bool {
	return math.IsInf(s.Upper, 1) && s.Entry == s.Lower && s.Entry > 0
}

// optimal checks the Kuhn–Tucker conditions of an estimate from the spans and
// masses alone, by the definition: moving mass anywhere must not raise the
// likelihood. Days after which nobody holds although others enter later make S
// 0 and the conditions void; it reports whether it could judge.
func optimal(t rapid.TB, spans []Span, c *IntervalCurve) bool {
	inside := func(v Interval, s Span) bool {
		if s.Lower == s.Upper {
			return v.Exact && v.Upper == s.Upper
		}
		return v.Upper <= s.Upper && (v.Lower > s.Lower || v.Lower == s.Lower && !v.Exact)
	}
	after := func(v Interval, entry float64) bool {
		return entry == 0 || v.Lower > entry || v.Lower == entry && !v.Exact
	}
	gradient := make([]float64, len(c.Intervals))
	total := 0.0
	for _, s := range spans {
		ended, entered := 0.0, 0.0
		for _, v := range c.Intervals {
			if inside(v, s) {
				ended += v.Mass
			}
			if after(v, s.Entry) {
				entered += v.Mass
			}
		}
		if entered < 1e-9 {
			return false
		}
		if saysNothing(s) {
			continue
		}
		total += 1 / entered
		for j, v := range c.Intervals {
			if inside(v, s) {
				gradient[j] += 1 / ended
			}
			if after(v, s.Entry) {
				gradient[j] -= 1 / entered
			}
		}
	}
	if total == 0 {
		return false
	}
	for j, v := range c.Intervals {
		g := gradient[j] / total
		if g > 1e-8 || v.Mass > 0 && g < -1e-8 {
			t.Fatalf("interval %d %+v: derivative %g", j, v, g)
		}
	}
	return true
}

func TestTurnbullIsOptimal(t *testing.T) {
	judged := 0
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 30, true, true)
		c, err := Turnbull(spans)
		require.NoError(t, err)
		sum, last := 0.0, 1.0
		for _, v := range c.Intervals {
			require.GreaterOrEqual(t, v.Mass, 0.0)
			require.LessOrEqual(t, v.After, last)
			sum, last = sum+v.Mass, v.After
		}
		require.InDelta(t, 1, sum, 1e-12)
		if optimal(t, spans, c) {
			judged++
		}
	})
	require.Positive(t, judged)
}

// Thousands of ends known exactly among wide intervals, which tie all hazards
// together, and times of the size of nanoseconds since an era.
func TestTurnbullIsOptimalAtSize(t *testing.T) {
	for _, exact := range []float64{0.05, 0.5, 0.95} {
		spans := scaled(mixed(1500, exact, 7), 1e9)
		c, err := Turnbull(spans)
		require.NoError(t, err)
		require.True(t, optimal(t, spans, c))
		require.True(t, c.Unique)
	}
}

// selfConsistent is Turnbull's own algorithm in its plainest form, on every
// whole day and every open stretch between two: each pass shares out a life over
// the places that its span allows, and as many unseen lives before its entry as
// the estimate says there must have been. It creeps up on the maximum.
func selfConsistent(spans []Span, days, passes int) (logLik float64) {
	places := 2*days + 2 // day 0, (0, 1), day 1, …, after the last day
	within := func(place int, s Span) bool {
		if s.Lower == s.Upper {
			return float64(place) == 2*s.Lower
		}
		return float64(place) > 2*s.Lower && float64(place) <= 2*s.Upper
	}
	after := func(place int, s Span) bool { return s.Entry == 0 || float64(place) > 2*s.Entry }
	mass := make([]float64, places)
	for j := range mass {
		mass[j] = 1 / float64(places)
	}
	for range passes {
		next := make([]float64, places)
		total := 0.0
		logLik = 0
		for _, s := range spans {
			ended, entered := 0.0, 0.0
			for j, m := range mass {
				if within(j, s) {
					ended += m
				}
				if after(j, s) {
					entered += m
				}
			}
			logLik += math.Log(ended / entered)
			for j, m := range mass {
				if within(j, s) {
					next[j] += m / ended
				}
				if !after(j, s) {
					next[j] += m / entered
				}
			}
			total += 1 / entered
		}
		for j := range mass {
			mass[j] = next[j] / total
		}
	}
	return logLik
}

// The naive twin knows nothing of innermost intervals or hazards. It may not come
// out higher, and must come close; with late entrants it creeps too slowly for
// that.
func TestTurnbullBeatsSelfConsistency(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		late := rapid.Bool().Draw(t, "some late")
		spans := slices.DeleteFunc(drawn(t, 12, late, true), saysNothing)
		if len(spans) == 0 {
			return
		}
		c, err := Turnbull(spans)
		require.NoError(t, err)
		naive := selfConsistent(spans, 20, 400)
		require.GreaterOrEqual(t, c.LogLik, naive-1e-9)
		if !late {
			require.InDelta(t, c.LogLik, naive, 0.05)
		}
	})
}

func TestTurnbullProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 25, true, true)
		c, err := Turnbull(spans)
		require.NoError(t, err)

		other, err := Turnbull(rapid.Permutation(spans).Draw(t, "shuffled"))
		require.NoError(t, err)
		requireSameCurve(t, c, other, 1)

		by := rapid.SampledFrom([]float64{1 / 30.4375, 24, 1e9, 1e-9}).Draw(t, "unit")
		other, err = Turnbull(scaled(spans, by))
		require.NoError(t, err)
		requireSameCurve(t, c, other, by)

		// Two fleets alike say the same as one, twice as loudly.
		other, err = Turnbull(append(slices.Clone(spans), spans...))
		require.NoError(t, err)
		require.InDelta(t, 2*c.LogLik, other.LogLik, 1e-9)
		other.LogLik /= 2
		requireSameCurve(t, c, other, 1)
	})
}

func requireSameCurve(t *rapid.T, want, got *IntervalCurve, scale float64) {
	require.InDelta(t, want.LogLik, got.LogLik, 1e-10)
	require.Len(t, got.Intervals, len(want.Intervals))
	require.Equal(t, want.Unique, got.Unique)
	for i, w := range want.Intervals {
		g := got.Intervals[i]
		require.Equal(t, w.Exact, g.Exact)
		require.True(t, check.Near(g.Upper, w.Upper*scale, check.Tolerance{Rel: 1e-14}), "%v %v", g, w)
		if want.Unique {
			require.InDelta(t, w.Mass, g.Mass, 1e-7)
		}
	}
}
