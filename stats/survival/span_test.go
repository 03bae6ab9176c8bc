package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "beadspan/stats/survival"
)

func TestSpanConstructors(t *testing.T) {
	assert.Equal(t, Span{Lower: 3, Upper: 3}, Exact(3))
	assert.Equal(t, Span{Lower: 3, Upper: math.Inf(1)}, RightCensored(3))
	assert.Equal(t, Span{Lower: 3, Upper: 5}, Between(3, 5))
	assert.Equal(t, Span{Upper: 5}, LeftCensored(5))
	assert.Equal(t, Span{Entry: 2, Lower: 3, Upper: 5, Weight: 1.5, Cluster: 7},
		Between(3, 5).EnteredAt(2).OfCluster(7).Weighing(1.5))
}

// A weight forgotten is 1, never 0; a weight of 0 given is refused.
func TestWeightNotGivenIsOne(t *testing.T) {
	assert.Equal(t, 1.0, Exact(3).Lives())
	assert.Equal(t, 1.0, Span{Lower: 3, Upper: 3}.Lives())
	assert.Equal(t, 0.25, Exact(3).Weighing(0.25).Lives())
	_, err := KaplanMeier([]Span{Exact(3).Weighing(0)}, 0.95)
	var bad *SpanError
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, "weight 0: it must be a number above 0", bad.Reason)
}

// What could not describe a life is refused by every method, by its position.
func TestImpossibleSpans(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		span   Span
		reason string
	}{
		{Span{Lower: nan, Upper: 3}, "not a number"},
		{Span{Lower: 3, Upper: nan}, "not a number"},
		{Span{Entry: nan, Lower: 3, Upper: 3}, "not a number"},
		{Span{Lower: -1, Upper: 3}, "negative"},
		{Span{Lower: -1, Upper: -1}, "negative"},
		{Span{Entry: -1, Lower: 3, Upper: 3}, "negative"},
		{Span{Lower: inf, Upper: inf}, "lower end must be finite"},
		{Span{Lower: 4, Upper: 3}, "before lower end"},
		{Span{Entry: 4, Lower: 3, Upper: 5}, "entered after"},
		{Span{Entry: 3, Lower: 3, Upper: 3}, "never at risk"},
		{Span{Entry: 3, Lower: 3 + 1e-9, Upper: 3 + 1e-9}, "never at risk"},
		{Exact(3).Weighing(-2), "weight -2"},
		{Exact(3).Weighing(0), "weight 0"},
		{Exact(3).Weighing(inf), "weight +Inf"},
		{Exact(3).Weighing(nan), "weight NaN"},
	} {
		spans := []Span{Exact(1), c.span}
		_, km := KaplanMeier(spans, 0.95)
		_, np := Turnbull(spans)
		_, lr := LogRank([][]Span{{Exact(1)}, spans})
		_, sc := ScoreTest([][]Span{{Exact(1)}, spans}, Sun)
		_, cb := ClusterBootstrap(t.Context(), spans, Resampling{Level: 0.9, Replicates: 99})
		for method, err := range map[string]error{"km": km, "np": np, "lr": lr, "sc": sc, "cb": cb} {
			var bad *SpanError
			require.ErrorAs(t, err, &bad, "%s %+v", method, c.span)
			assert.Equal(t, 1, bad.Index, method)
			assert.Contains(t, err.Error(), c.reason, method)
			if !math.IsNaN(c.span.Entry + c.span.Lower + c.span.Upper + c.span.Weight) {
				assert.Equal(t, c.span, bad.Span, method)
			}
		}
	}
}

func TestNoSpans(t *testing.T) {
	_, err := KaplanMeier(nil, 0.95)
	assert.ErrorIs(t, err, ErrNoSpans)
	_, err = Turnbull(nil)
	assert.ErrorIs(t, err, ErrNoSpans)
	_, err = LogRank([][]Span{{Exact(1)}, nil})
	assert.ErrorIs(t, err, ErrNoSpans)
	assert.ErrorContains(t, err, "group 1")
	_, err = ScoreTest([][]Span{nil, {Exact(1)}}, Sun)
	assert.ErrorIs(t, err, ErrNoSpans)
	_, err = ClusterBootstrap(t.Context(), nil, Resampling{Level: 0.9, Replicates: 99})
	assert.ErrorIs(t, err, ErrNoSpans)
}

// Methods for known ends refuse intervals and say what to use.
func TestIntervalsNeedTheirOwnMethods(t *testing.T) {
	for _, s := range []Span{Between(1, 2), LeftCensored(2)} {
		_, err := KaplanMeier([]Span{s}, 0.95)
		assert.ErrorContains(t, err, "use Turnbull")
		_, err = LogRank([][]Span{{Exact(1)}, {s}})
		assert.ErrorContains(t, err, "use Turnbull")
	}
}
