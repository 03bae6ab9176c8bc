package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// Six lives: ends at 2 and 5, one watched only from 3 on, one censored at 5,
// after the end of that day. By hand: at 2 five lives are at risk, at 5 four.
var six = []Span{Exact(2), Exact(5), RightCensored(4), RightCensored(5), RightCensored(9).EnteredAt(3), RightCensored(9)}

func TestKaplanMeierByHand(t *testing.T) {
	curve, err := KaplanMeier(six, 0.95)
	require.NoError(t, err)
	assert.Equal(t, 6, curve.N)
	assert.Equal(t, []float64{6, 2}, []float64{curve.Lives, curve.Events})
	tol := check.Tolerance{Rel: 1e-15}
	for i, want := range []Step{
		{Time: 2, AtRisk: 5, Events: 1, Survival: 4.0 / 5},
		{Time: 4, AtRisk: 5, Censored: 1, Survival: 4.0 / 5},
		{Time: 5, AtRisk: 4, Events: 1, Censored: 1, Survival: 4.0 / 5 * 3 / 4},
		{Time: 9, AtRisk: 2, Censored: 2, Survival: 4.0 / 5 * 3 / 4},
	} {
		got := curve.Steps[i]
		check.Value(t, "S", got.Survival, want.Survival, tol)
		got.Survival, got.SE, got.Lower, got.Upper = want.Survival, 0, 0, 0
		assert.Equal(t, want, got)
	}
}

func TestCurveAt(t *testing.T) {
	curve, err := KaplanMeier(six, 0.95)
	require.NoError(t, err)
	nan := math.NaN()
	for _, want := range []struct {
		time, survival float64
		atRisk         float64
	}{
		{0, 1, 5}, {1.9, 1, 5}, {2, 0.8, 5}, {3, 0.8, 4}, {3.5, 0.8, 5},
		{5, 0.6, 4}, {6, 0.6, 2}, {9, 0.6, 2}, {9.1, nan, 0},
	} {
		at := curve.At(want.time)
		check.Value(t, "S", at.Survival, want.survival, check.Tolerance{Rel: 1e-15})
		assert.Equal(t, want.atRisk, at.AtRisk, "at risk at %v", want.time)
		assert.Equal(t, want.time, at.Time)
		assert.Equal(t, want.time < 2 || want.time > 9, math.IsNaN(at.Lower), "limits at %v", want.time)
	}
	at := curve.WithScale(Plain).At(1)
	assert.Equal(t, []float64{1, 0, 1, 1}, []float64{at.Survival, at.SE, at.Lower, at.Upper})

	dead, err := KaplanMeier([]Span{Exact(3)}, 0.95)
	require.NoError(t, err)
	assert.Equal(t, 0.0, dead.At(100).Survival, "nobody outlives the last end")
}

// A quantile past the follow-up is +Inf with all its limits; one on the way to 0
// has no lower limit to give.
func TestQuantileNotReached(t *testing.T) {
	curve, err := KaplanMeier(six, 0.95)
	require.NoError(t, err)
	inf := math.Inf(1)
	assert.Equal(t, Quantile{P: 0.9, Time: inf, Lower: inf, Upper: inf}, curve.Quantile(0.9))

	dead, err := KaplanMeier([]Span{Exact(3)}, 0.95)
	require.NoError(t, err)
	q := dead.Quantile(0.5)
	assert.Equal(t, []float64{3, inf}, []float64{q.Time, q.Upper})
	assert.True(t, math.IsNaN(q.Lower))
	assert.Panics(t, func() { dead.Quantile(1) })
}

// With ends at 2, 4, 6 and 8, S is exactly ½ from 4 to 6: the median is 5 by the
// one convention and 4 by the other. They agree where nothing is flat.
func TestFirstQuantile(t *testing.T) {
	curve, err := KaplanMeier([]Span{Exact(2), Exact(4), Exact(6), Exact(8)}, 0.95)
	require.NoError(t, err)
	assert.Equal(t, []float64{5, 4}, []float64{curve.Quantile(0.5).Time, curve.FirstQuantile(0.5).Time})
	assert.Equal(t, []float64{4, 4}, []float64{curve.Quantile(0.4).Time, curve.FirstQuantile(0.4).Time})
	assert.Equal(t, curve.Quantile(0.5).Lower, curve.FirstQuantile(0.5).Lower)

	// Half of 200 lives end, one a day: S stays ½ from day 100 to the last, 200.
	var spans []Span
	for day := range 100 {
		spans = append(spans, Exact(float64(day+1)), RightCensored(200))
	}
	curve, err = KaplanMeier(spans, 0.95)
	require.NoError(t, err)
	q, first := curve.Quantile(0.5), curve.FirstQuantile(0.5)
	assert.Equal(t, []float64{150, 100}, []float64{q.Time, first.Time})

	// A limit is flat from one day to the next; ask for its very height.
	p := 1 - curve.Steps[49].Upper
	assert.Equal(t, []float64{50.5, 50}, []float64{curve.Quantile(p).Upper, curve.FirstQuantile(p).Upper})
	assert.Panics(t, func() { curve.FirstQuantile(0) })
}

// An entry that is the start but for rounding is no late one: its life is at
// risk at the start. And before the first entry nobody is, to the last bit, though
// the weights be fractions.
func TestEntriesAtTheEdge(t *testing.T) {
	curve, err := KaplanMeier([]Span{Exact(0), RightCensored(5).EnteredAt(1e-12), RightCensored(8)}, 0.95)
	require.NoError(t, err)
	assert.Equal(t, 3.0, curve.Steps[0].AtRisk)
	assert.Equal(t, 3.0, curve.AtRisk(0))

	late := []Span{
		Exact(7).EnteredAt(3).Weighing(0.1), Exact(8).EnteredAt(3).Weighing(0.7),
		RightCensored(9).EnteredAt(4).Weighing(0.3), Exact(10).EnteredAt(5).Weighing(0.2),
	}
	curve, err = KaplanMeier(late, 0.95)
	require.NoError(t, err)
	assert.Equal(t, 0.0, curve.AtRisk(2))
	assert.Equal(t, 0.0, curve.AtRisk(3))
	assert.InDelta(t, 0.8, curve.AtRisk(3.5), 1e-15)
	assert.InDelta(t, 1.3, curve.AtRisk(6), 1e-15)
	assert.Equal(t, 0.0, curve.Steps[len(curve.Steps)-1].Survival, "all who are left end")
}

func TestKaplanMeierLevel(t *testing.T) {
	for _, level := range []float64{0, 1, 95, math.NaN()} {
		_, err := KaplanMeier(six, level)
		assert.ErrorIs(t, err, ErrLevel)
	}
}

// naive is Ŝ(t) by its definition, one time after another.
func naive(spans []Span, t float64) float64 {
	s := 1.0
	for day := 0.0; day <= t; day++ {
		n, d := 0.0, 0.0
		for _, x := range spans {
			if (x.Entry == 0 || x.Entry < day) && x.Lower >= day {
				n++
				if x.Lower == x.Upper && x.Lower == day {
					d++
				}
			}
		}
		if d > 0 {
			s *= 1 - d/n
		}
	}
	return s
}

func TestKaplanMeierProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 30, true, false)
		curve, err := KaplanMeier(spans, 0.9)
		require.NoError(t, err)
		last := 1.0
		for _, s := range curve.Steps {
			require.InDelta(t, naive(spans, s.Time), s.Survival, 1e-12)
			require.LessOrEqual(t, s.Survival, last)
			require.GreaterOrEqual(t, s.AtRisk, s.Events)
			if !math.IsNaN(s.Lower) {
				require.LessOrEqual(t, s.Lower, s.Survival)
				require.GreaterOrEqual(t, s.Upper, s.Survival)
			}
			last = s.Survival
		}

		shuffled := rapid.Permutation(spans).Draw(t, "shuffled")
		other, err := KaplanMeier(shuffled, 0.9)
		require.NoError(t, err)
		requireSameSteps(t, curve.Steps, other.Steps, 1)

		// Days in months: the curve is the same, drawn on another ruler.
		other, err = KaplanMeier(scaled(spans, 1/30.4375), 0.9)
		require.NoError(t, err)
		requireSameSteps(t, curve.Steps, other.Steps, 1/30.4375)
		q, r := curve.Quantile(0.5), other.Quantile(0.5)
		if !math.IsInf(q.Time, 1) {
			require.InDelta(t, q.Time/30.4375, r.Time, 1e-12)
		}
	})
}

func scaled(spans []Span, by float64) []Span {
	out := make([]Span, len(spans))
	for i, s := range spans {
		out[i] = Between(s.Lower*by, s.Upper*by).EnteredAt(s.Entry * by).OfCluster(s.Cluster)
	}
	return out
}

func requireSameSteps(t *rapid.T, want, got []Step, scale float64) {
	require.Len(t, got, len(want))
	tol := check.Tolerance{Rel: 1e-14}
	for i, w := range want {
		g := got[i]
		require.True(t, check.Near(g.Time, w.Time*scale, tol), "%v %v", g, w)
		require.Equal(t, []float64{w.AtRisk, w.Events, w.Censored}, []float64{g.AtRisk, g.Events, g.Censored})
		require.Equal(t, w.Survival, g.Survival)
	}
}
