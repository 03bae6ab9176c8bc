package aft_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// Exact exponential lives, each its own cluster: with u = t/mean the scores are
// u − 1 and a life's information is u, so every sandwich has a closed form.
func TestByClusterInClosedForm(t *testing.T) {
	times := []float64{1, 4, 5, 10, 30}
	const n, mean = 5.0, 10.0
	var spans []survival.Span
	plain, jackknife := 0.0, 0.0
	for i, time := range times {
		spans = append(spans, survival.Exact(time).OfCluster(7*i))
		u := time / mean
		plain += (u - 1) * (u - 1) / (n * n)
		jackknife += (u - 1) * (u - 1) / ((n - u) * (n - u))
	}
	m, err := Fit(Data{Spans: spans}, Exponential)
	require.NoError(t, err)
	for correction, want := range map[Correction]float64{
		Uncorrected: plain, Scaled: plain * n / (n - 1), Jackknife: jackknife * (n - 1) / n,
	} {
		robust, err := m.ByCluster(correction)
		require.NoError(t, err)
		assert.InEpsilon(t, want, robust.Covariance.At(0, 0), 1e-9)
		assert.InEpsilon(t, 1/n, m.Covariance.At(0, 0), 1e-9, "the model itself is left alone")
		assert.Equal(t, m.LogLik, robust.LogLik)
	}
}

// Limits with a correction are of the t distribution: 2.776445 on 4 degrees of
// freedom at 95 % (any table).
func TestFewClustersWidenLimits(t *testing.T) {
	var spans []survival.Span
	for i, time := range []float64{1, 4, 5, 10, 30} {
		spans = append(spans, survival.Exact(time).OfCluster(i))
	}
	m, err := Fit(Data{Spans: spans}, Exponential)
	require.NoError(t, err)
	for correction, margin := range map[Correction]float64{Jackknife: 2.776445, Scaled: 2.776445, Uncorrected: 1.959964} {
		robust, err := m.ByCluster(correction)
		require.NoError(t, err)
		parameters, err := robust.Parameters(0.95)
		require.NoError(t, err)
		p := parameters[0]
		assert.InDelta(t, margin, (p.Upper-p.Value)/p.SE, 1e-5)
		if correction != Uncorrected {
			assert.InDelta(t, 2*distuv.StudentsT{Sigma: 1, Nu: 4}.CDF(-p.Value/p.SE), p.P, 1e-12)
		}
	}
}

// Reporting every life of a vehicle twice teaches nothing.
func TestRepeatsWithinClustersChangeNothing(t *testing.T) {
	once := withVisits()
	for i := range once {
		once[i].Cluster = i
	}
	twice := append(append([]survival.Span(nil), once...), once...)
	for _, law := range Distributions() {
		a, err := Fit(Data{Spans: once}, law)
		require.NoError(t, err)
		b, err := Fit(Data{Spans: twice}, law)
		require.NoError(t, err)
		assert.InEpsilon(t, a.Covariance.At(0, 0)/2, b.Covariance.At(0, 0), 1e-6)
		for _, correction := range []Correction{Jackknife, Scaled, Uncorrected} {
			a, err := a.ByCluster(correction)
			require.NoError(t, err)
			b, err := b.ByCluster(correction)
			require.NoError(t, err)
			assert.InEpsilon(t, a.Covariance.At(0, 0), b.Covariance.At(0, 0), 1e-6, "%v %v", law, correction)
		}
	}
}

func TestByClusterRefuses(t *testing.T) {
	m, err := Fit(Data{Spans: withVisits()}, Weibull)
	require.NoError(t, err)
	_, err = m.ByCluster(Jackknife)
	assert.ErrorIs(t, err, ErrClusters)
}
