package survival_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "beadspan/stats/survival"
)

// TestBagsOfExactLives: where ends are known to the point and each cluster is one
// life, S(t) is a binomial share, whose limits are S ± z √(S(1 − S)/n), and the
// limits of the pth quantile of lives that end evenly between 0 and 1 are
// p ± z √(p(1 − p)/n) (David and Nagaraja, Order Statistics, from memory). The
// tolerance is four standard errors of 999 replicates, for either limit
// √(0.025·0.975/999)/0.0584 of the standard deviation, 0.58 being Φ's density there.
func TestBagsOfExactLives(t *testing.T) {
	const n = 4000
	draw := rand.New(rand.NewPCG(5, 0))
	var spans []Span
	for i := range n {
		spans = append(spans, Exact(draw.Float64()).OfCluster(i))
	}
	r, err := ClusterBootstrap(t.Context(), spans, Resampling{Times: []float64{0.3, 0.8}, Shares: []float64{0.5}, Level: 0.95, Replicates: 999, Seed: 2})
	require.NoError(t, err)
	curve, err := Turnbull(spans)
	require.NoError(t, err)
	near := func(l Limits, at float64, share float64) {
		sd := math.Sqrt(share * (1 - share) / n)
		assert.InDelta(t, at-1.96*sd, l.Lower, 4*0.085*sd)
		assert.InDelta(t, at+1.96*sd, l.Upper, 4*0.085*sd)
	}
	for _, l := range r.Survival {
		near(l, curve.At(l.At).Survival, curve.At(l.At).Survival)
	}
	near(r.Quantiles[0], curve.Quantile(0.5).Time, 0.5)
}

// BenchmarkBagCoverage simulates fleets of which replicates are made from bags, and
// reports how often, in per cent, limits of 95 % hold the true median and the true
// S(12 months), with its standard error.
func BenchmarkBagCoverage(b *testing.B) {
	if flag.Lookup("test.benchtime").Value.String() != "1x" {
		b.Skip("takes minutes: go test -run '^$' -bench BagCoverage -benchtime 1x -timeout 1h ./stats/survival")
	}
	study := fieldStudies[0]
	study.vehicles = 2500
	const fleets = 100
	for b.Loop() {
		held := map[string]int{}
		for seed := range uint64(fleets) {
			r, err := ClusterBootstrap(b.Context(), study.fleet(rand.New(rand.NewPCG(seed, 16))), Resampling{
				Times: []float64{aYear}, Shares: []float64{0.5}, Level: 0.95, Replicates: 199, Seed: seed,
			})
			require.NoError(b, err)
			held["turnbull-median"] += holds(r.Quantiles[0], "turnbull-median")
			held["turnbull-S12"] += holds(r.Survival[0], "turnbull-S12")
		}
		for what, n := range held {
			b.ReportMetric(100*float64(n)/fleets, what+"-%")
		}
		b.ReportMetric(100*math.Sqrt(0.95*0.05/fleets), "mc-error-%")
	}
}

// All patches of a cluster ending together make the limits those of clusters, not
// of patches: doubling the patches changes nothing.
func TestBagsKeepClusters(t *testing.T) {
	draw := rand.New(rand.NewPCG(6, 0))
	var once, twice []Span
	for i := range 2000 {
		s := Exact(draw.Float64()).OfCluster(i)
		once = append(once, s)
		twice = append(twice, s, s)
	}
	how := Resampling{Times: []float64{0.5}, Level: 0.95, Replicates: 199, Seed: 2}
	a, err := ClusterBootstrap(t.Context(), once, how)
	require.NoError(t, err)
	b, err := ClusterBootstrap(t.Context(), twice, how)
	require.NoError(t, err)
	assert.InDelta(t, a.Survival[0].Lower, b.Survival[0].Lower, 1e-9)
	assert.InDelta(t, a.Survival[0].Upper, b.Survival[0].Upper, 1e-9)
}

// Limits keep within what a share and a time can be, and what isn't reached stays
// so.
func TestBagsAtTheEdges(t *testing.T) {
	var spans []Span
	for i := range 2500 {
		s := RightCensored(1)
		if i%500 == 0 {
			s = Exact(0.5)
		}
		spans = append(spans, s.OfCluster(i))
	}
	r, err := ClusterBootstrap(t.Context(), spans, Resampling{Times: []float64{0.1, 0.9}, Shares: []float64{0.5}, Level: 0.95, Replicates: 199, Seed: 2})
	require.NoError(t, err)
	assert.Equal(t, Limits{At: 0.1, Lower: 1, Upper: 1}, r.Survival[0])
	assert.LessOrEqual(t, r.Survival[1].Upper, 1.0)
	assert.Greater(t, r.Survival[1].Lower, 0.98)
	assert.True(t, math.IsInf(r.Quantiles[0].Upper, 1), "half of them never ended")
}
