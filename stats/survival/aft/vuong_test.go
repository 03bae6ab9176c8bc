package aft_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// mixedSpans are spans of every kind but exact ones, three to a cluster.
func mixedSpans(seed uint64, n int) []survival.Span {
	random := rand.New(rand.NewPCG(seed, 1))
	spans := make([]survival.Span, n)
	for i := range spans {
		life := 100 * math.Pow(random.ExpFloat64(), 0.5)
		switch i % 4 {
		case 0:
			spans[i] = survival.RightCensored(0.7 * life)
		case 1:
			spans[i] = survival.LeftCensored(1.4 * life)
		case 2:
			spans[i] = survival.Between(0.8*life, 1.2*life).EnteredAt(0.3 * life)
		default:
			spans[i] = survival.Between(0.7*life, 1.5*life)
		}
		spans[i].Cluster = i / 3
	}
	return spans
}

// TestVuongByHand adds up the difference of each cluster with the textbook
// likelihood of naive_test.go.
func TestVuongByHand(t *testing.T) {
	spans := mixedSpans(3, 60)
	weibull, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	logNormal, err := Fit(Data{Spans: spans}, LogNormal)
	require.NoError(t, err)

	gain := make([]float64, 20)
	design, err := NewDesign(1)
	require.NoError(t, err)
	for _, s := range spans {
		one := Data{Spans: []survival.Span{s}, Design: design}
		gain[s.Cluster] += naiveLogLik(one, Weibull, []float64{weibull.Coefficients[0], weibull.LogScale[0]}) -
			naiveLogLik(one, LogNormal, []float64{logNormal.Coefficients[0], logNormal.LogScale[0]})
	}
	sum, squares := 0.0, 0.0
	for _, d := range gain {
		sum += d
		squares += d * d
	}
	se := math.Sqrt(20. / 19 * (squares - sum*sum/20))

	got, err := CompareUnnested(weibull, logNormal)
	require.NoError(t, err)
	assert.InDelta(t, sum, got.LogLik, 1e-8)
	assert.InDelta(t, weibull.LogLik-logNormal.LogLik, got.LogLik, 1e-8)
	assert.InEpsilon(t, se, got.SE, 1e-8)
	assert.InEpsilon(t, sum/se, got.Z, 1e-8)
	assert.Equal(t, 20, got.Clusters)
	back, err := CompareUnnested(logNormal, weibull)
	require.NoError(t, err)
	assert.InDelta(t, -got.Z, back.Z, 1e-12)
	assert.InDelta(t, got.P, back.P, 1e-12)
}

// Hours or days make no difference to lives known to intervals.
func TestVuongOfOtherUnits(t *testing.T) {
	spans := mixedSpans(4, 60)
	days, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	for i := range spans {
		spans[i].Entry *= 24
		spans[i].Lower *= 24
		spans[i].Upper *= 24
	}
	hours, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	got, err := CompareUnnested(days, hours)
	require.NoError(t, err)
	assert.InDelta(t, 0, got.LogLik, 1e-7)
}

// Two wrong models that are equally far from the truth by their symmetry are
// told apart in one of twenty samples: lives on two scales that each life draws
// by the toss of a coin. 400 samples put the share within 0.05 ± 0.033 (three
// standard errors).
func TestVuongHoldsItsLevel(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 0))
	const samples, lives = 400, 200
	rejected := 0
	for range samples {
		one, other := make([]survival.Span, lives), make([]survival.Span, lives)
		for i := range one {
			life, stretch := math.Exp(0.3*random.NormFloat64()), math.Exp(0.5*random.NormFloat64())
			a, b := life, life*stretch
			if random.IntN(2) == 0 {
				a, b = b, a
			}
			one[i] = survival.Between(0.9*a, 1.1*a).OfCluster(i)
			other[i] = survival.Between(0.9*b, 1.1*b).OfCluster(i)
		}
		m, err := Fit(Data{Spans: one}, LogNormal)
		require.NoError(t, err)
		n, err := Fit(Data{Spans: other}, LogNormal)
		require.NoError(t, err)
		v, err := CompareUnnested(m, n)
		require.NoError(t, err)
		if v.P < 0.05 {
			rejected++
		}
	}
	t.Logf("rejected %.3f", float64(rejected)/samples)
	assert.InDelta(t, 0.05, float64(rejected)/samples, 0.033)
}

func TestVuongRefuses(t *testing.T) {
	spans := mixedSpans(5, 60)
	m, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	fewer, err := Fit(Data{Spans: spans[:57]}, Weibull)
	require.NoError(t, err)
	exponential, err := Fit(Data{Spans: spans}, Exponential)
	require.NoError(t, err)
	for _, other := range []*Model{fewer, exponential} {
		_, err = CompareUnnested(m, other)
		assert.Error(t, err)
	}

	exact := []survival.Span{survival.Exact(1), survival.Exact(2).OfCluster(1), survival.Exact(4).OfCluster(2)}
	weibull, err := Fit(Data{Spans: exact}, Weibull)
	require.NoError(t, err)
	logNormal, err := Fit(Data{Spans: exact}, LogNormal)
	require.NoError(t, err)
	_, err = CompareUnnested(weibull, logNormal)
	assert.NoError(t, err)
	exact[0] = survival.Exact(1.5)
	moved, err := Fit(Data{Spans: exact}, Weibull)
	require.NoError(t, err)
	_, err = CompareUnnested(weibull, moved)
	assert.ErrorContains(t, err, "known exactly")

	for i := range spans {
		spans[i].Cluster = 1
	}
	alone, err := Fit(Data{Spans: spans}, Weibull)
	require.NoError(t, err)
	_, err = CompareUnnested(alone, alone)
	assert.ErrorIs(t, err, ErrClusters)
}
