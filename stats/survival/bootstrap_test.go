package survival_test

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

var usual = Resampling{
	Times: []float64{200, 365, 730}, Shares: []float64{0.25, 0.5, 0.9},
	Level: 0.95, Replicates: 199, Seed: 7,
}

// With one uncensored life a cluster, how many of n outlive t in a resample is
// binomial, so the limits of S are that law's quantiles (here gonum's). The 5 %
// points of 1,999 draws scatter by half a life.
func TestBootstrapOfKnownEndsIsBinomial(t *testing.T) {
	const n, alive = 400, 250
	spans := make([]Span, n)
	for i := range spans {
		spans[i] = Exact(float64(n - i)).OfCluster(i)
	}
	how := Resampling{Times: []float64{n - alive}, Level: 0.9, Replicates: 1999, Seed: 1}
	r, err := ClusterBootstrap(t.Context(), spans, how)
	require.NoError(t, err)
	outlive := distuv.Binomial{N: n, P: float64(alive) / n}
	low, high := 0.0, 0.0
	for outlive.CDF(low) < 0.05 {
		low++
	}
	for outlive.CDF(high) < 0.95 {
		high++
	}
	assert.InDelta(t, low, n*r.Survival[0].Lower, 2)
	assert.InDelta(t, high, n*r.Survival[0].Upper, 2)
	assert.Equal(t, []int{n, 1999, 0}, []int{r.Clusters, r.Used, r.Failed})
}

// Of 20 such lives of which half outlive t, resamples are binomial with n = 20 and
// p = ½. The tables say that 2.5 % of these have 6 or fewer (P = 0.0577; 5 or
// fewer: 0.0207), but 1.82 % have 5 or fewer (4 or fewer: 0.0059), and 1.82 % is the
// normal tail at 2.0930, the 97.5 % quantile of Student's t on 19 degrees of
// freedom.
func TestBootstrapOfFewClustersIsExpanded(t *testing.T) {
	spans := make([]Span, 20)
	for i := range spans {
		spans[i] = Exact(float64(1 + i)).OfCluster(i)
	}
	how := Resampling{Times: []float64{10}, Level: 0.95, Replicates: 9999, Seed: 1}
	r, err := ClusterBootstrap(t.Context(), spans, how)
	require.NoError(t, err)
	assert.InDelta(t, 5, 20*r.Survival[0].Lower, 1e-9)
	assert.InDelta(t, 15, 20*r.Survival[0].Upper, 1e-9)
}

// Two clusters are far too few for limits to lie within the replicates; the
// outermost are taken.
func TestBootstrapOfTwoClusters(t *testing.T) {
	spans := []Span{Exact(3).OfCluster(1), Exact(5).OfCluster(2)}
	r, err := ClusterBootstrap(t.Context(), spans, Resampling{Shares: []float64{0.5}, Level: 0.95, Replicates: 99, Seed: 1})
	require.NoError(t, err)
	assert.Equal(t, []Limits{{At: 0.5, Lower: 3, Upper: 5}}, r.Quantiles)
}

// Three patches that live and die together are one life seen three times: the
// limits are those of the vehicles, three times as many patches add nothing.
func TestBootstrapCountsClusters(t *testing.T) {
	var ones, threes []Span
	for vehicle, s := range visited(120, 3) {
		s = s.OfCluster(vehicle)
		ones = append(ones, s)
		threes = append(threes, s, s, s)
	}
	one, err := ClusterBootstrap(t.Context(), ones, usual)
	require.NoError(t, err)
	three, err := ClusterBootstrap(t.Context(), threes, usual)
	require.NoError(t, err)
	for i := range one.Survival {
		assert.InDelta(t, one.Survival[i].Lower, three.Survival[i].Lower, 1e-9)
		assert.InDelta(t, one.Survival[i].Upper, three.Survival[i].Upper, 1e-9)
	}
	assert.Equal(t, one.Quantiles, three.Quantiles)
}

func TestBootstrapDependsOnDataAndSeedAlone(t *testing.T) {
	spans := visited(100, 5)
	want, err := ClusterBootstrap(t.Context(), spans, usual)
	require.NoError(t, err)

	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	alone, err := ClusterBootstrap(t.Context(), spans, usual)
	require.NoError(t, err)
	assert.Equal(t, want, alone, "one processor")

	rand.New(rand.NewPCG(1, 2)).Shuffle(len(spans), func(i, j int) { spans[i], spans[j] = spans[j], spans[i] })
	shuffled, err := ClusterBootstrap(t.Context(), spans, usual)
	require.NoError(t, err)
	assert.Equal(t, want.Quantiles, shuffled.Quantiles)
	for i, w := range want.Survival {
		assert.InDelta(t, w.Lower, shuffled.Survival[i].Lower, 1e-9)
		assert.InDelta(t, w.Upper, shuffled.Survival[i].Upper, 1e-9)
	}

	reseeded := usual
	reseeded.Seed++
	other, err := ClusterBootstrap(t.Context(), spans, reseeded)
	require.NoError(t, err)
	assert.NotEqual(t, want, other, "another seed")
}

// In another unit of time the limits of times are in that unit, those of S the
// same.
func TestBootstrapInAnyUnit(t *testing.T) {
	spans := visited(100, 5)
	want, err := ClusterBootstrap(t.Context(), spans, usual)
	require.NoError(t, err)
	for _, by := range []float64{1 / 30.4375, 1e9} {
		how := usual
		how.Times = nil
		for _, at := range usual.Times {
			how.Times = append(how.Times, at*by)
		}
		got, err := ClusterBootstrap(t.Context(), scaled(spans, by), how)
		require.NoError(t, err)
		for i, w := range want.Survival {
			assert.InDelta(t, w.Lower, got.Survival[i].Lower, 1e-7)
			assert.InDelta(t, w.Upper, got.Survival[i].Upper, 1e-7)
		}
		for i, w := range want.Quantiles {
			assert.True(t, check.Near(got.Quantiles[i].Lower, w.Lower*by, check.Tolerance{Rel: 1e-12}))
			assert.True(t, check.Near(got.Quantiles[i].Upper, w.Upper*by, check.Tolerance{Rel: 1e-12}))
		}
	}
}

// Where only the first few ended, the median is not reached in any resample, and
// S past the last visit has no lower limit above 0.
func TestBootstrapNotReached(t *testing.T) {
	var spans []Span
	for i := range 30 {
		spans = append(spans, RightCensored(float64(300+i)).OfCluster(i))
	}
	spans = append(spans, Between(100, 130).OfCluster(30), Between(200, 250).OfCluster(31))
	r, err := ClusterBootstrap(t.Context(), spans, usual)
	require.NoError(t, err)
	assert.True(t, math.IsInf(r.Quantiles[1].Upper, 1))
	assert.Equal(t, 0.0, r.Survival[2].Lower)
	assert.Positive(t, r.Survival[0].Lower)
}

func TestBootstrapRefuses(t *testing.T) {
	spans := visited(40, 1)
	change := func(f func(*Resampling)) Resampling {
		how := usual
		f(&how)
		return how
	}
	for _, c := range []struct {
		how  Resampling
		want error
	}{
		{change(func(r *Resampling) { r.Level = 1 }), ErrLevel},
		{change(func(r *Resampling) { r.Shares = []float64{0.5, 1} }), ErrShare},
		{change(func(r *Resampling) { r.Replicates = 38 }), ErrReplicates},
		{change(func(r *Resampling) { r.Replicates = 0 }), ErrReplicates},
		{change(func(r *Resampling) { r.Replicates = -5 }), ErrReplicates},
	} {
		_, err := ClusterBootstrap(t.Context(), spans, c.how)
		assert.ErrorIs(t, err, c.want)
	}
	least := change(func(r *Resampling) { r.Replicates = 39 })
	_, err := ClusterBootstrap(t.Context(), spans, least)
	assert.NoError(t, err)

	_, err = ClusterBootstrap(t.Context(), []Span{Exact(1), Exact(2)}, usual)
	assert.ErrorIs(t, err, ErrClusters, "no cluster given: all share number 0")

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = ClusterBootstrap(ctx, spans, usual)
	assert.ErrorIs(t, err, context.Canceled)
}

// Done is called for each replicate, and a context that ends in the middle ends
// the work with the replicates under way.
func TestBootstrapTellsOfReplicates(t *testing.T) {
	spans := visited(100, 5)
	how := usual
	var done atomic.Int64
	how.Done = func() { done.Add(1) }
	_, err := ClusterBootstrap(t.Context(), spans, how)
	require.NoError(t, err)
	assert.EqualValues(t, how.Replicates, done.Load())

	ctx, cancel := context.WithCancel(t.Context())
	done.Store(0)
	how.Done = func() {
		if done.Add(1) == 10 {
			cancel()
		}
	}
	_, err = ClusterBootstrap(ctx, spans, how)
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, done.Load(), int64(10+runtime.GOMAXPROCS(0)))
}
