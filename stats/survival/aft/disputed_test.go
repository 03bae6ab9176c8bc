package aft_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival/aft"
)

// TestDisputedMaximum: at the parameters that the reference gives for ages at
// death with delayed entry, the log-likelihood of the plain formula is what the
// reference says, but its gradient is far from 0, and ours is higher.
func TestDisputedMaximum(t *testing.T) {
	data, want := disputedCase(t, "aft/channing-left-truncated", "female-weibull")
	naive := func(θ []float64) float64 { return naiveLogLik(data, Weibull, θ) }
	theirs := append(numbers(want.Coef), float64(want.LogScale[0]))
	assert.InDelta(t, want.LogLik, naive(theirs), 1e-9*math.Abs(want.LogLik))
	assert.Greater(t, math.Abs(fd.Gradient(nil, naive, theirs, nil)[0]), 100.0)

	m, err := Fit(data, Weibull)
	require.NoError(t, err)
	ours := append(m.Coefficients, m.LogScale...)
	assert.InDelta(t, m.LogLik, naive(ours), 1e-9*math.Abs(m.LogLik))
	assert.Greater(t, naive(ours), naive(theirs)+15)
	for _, slope := range fd.Gradient(nil, naive, ours, &fd.Settings{Formula: fd.Central}) {
		assert.InDelta(t, 0, slope, 1e-3)
	}
}

// TestDisputedSandwich: scores of four climates that add up to 0, as they must
// at a maximum, give a sandwich of rank 3 at most; the reference's has rank 4.
// Ours equals the sandwich of the scores found by numerical differentiation of
// the plain formula.
func TestDisputedSandwich(t *testing.T) {
	data, want := disputedCase(t, "aft/sim-climate-mixed", "weibull-cluster-climate")
	q := len(want.RobustVCov)
	theirs := mat.NewSymDense(q, nil)
	for j := range q {
		for k := range q {
			theirs.SetSym(j, k, float64(want.RobustVCov[j][k]))
		}
	}
	m, err := Fit(data, Weibull)
	require.NoError(t, err)
	robust, err := m.ByCluster(Uncorrected)
	require.NoError(t, err)
	assert.Greater(t, leastEigenvalue(t, theirs), 0.01)
	assert.Less(t, math.Abs(leastEigenvalue(t, robust.Covariance)), 1e-12)

	θ := append(m.Coefficients, m.LogScale...)
	total, sandwich := mat.NewVecDense(q, nil), mat.NewDense(q, q, nil)
	for climate := range 4 {
		score := mat.NewVecDense(q, fd.Gradient(nil, func(θ []float64) float64 {
			return naiveLogLik(ofCluster(data, climate), Weibull, θ)
		}, θ, &fd.Settings{Formula: fd.Central}))
		total.AddVec(total, score)
		var step mat.VecDense
		step.MulVec(m.Covariance, score)
		sandwich.RankOne(sandwich, 1, &step, &step)
	}
	assert.Less(t, mat.Norm(total, 2), 1e-4)
	assert.True(t, mat.EqualApprox(sandwich, robust.Covariance, 1e-7), "%v", mat.Formatted(robust.Covariance))
}

// leastEigenvalue is that of a covariance scaled to correlations.
func leastEigenvalue(t *testing.T, a *mat.SymDense) float64 {
	q := a.SymmetricDim()
	scaled := mat.NewSymDense(q, nil)
	for j := range q {
		for k := range q {
			scaled.SetSym(j, k, a.At(j, k)/math.Sqrt(a.At(j, j)*a.At(k, k)))
		}
	}
	var eigen mat.EigenSym
	require.True(t, eigen.Factorize(scaled, false))
	return eigen.Values(nil)[0]
}

func disputedCase(t *testing.T, id, name string) (Data, expected) {
	for _, c := range check.Cases(t, "aft") {
		for _, ch := range c.Checks {
			if c.ID == id && ch.ID == name {
				in := check.Decode[inputs](t, ch.Inputs)
				data, _ := in.data(t, c.Data.Complete(t, in.complete()...))
				return data, check.Decode[expected](t, ch.Expected)
			}
		}
	}
	t.Fatalf("no case %s/%s", id, name)
	return Data{}, expected{}
}

func numbers(list []check.Number) []float64 {
	plain := make([]float64, len(list))
	for i, x := range list {
		plain[i] = float64(x)
	}
	return plain
}

// ofCluster keeps the rows of one cluster.
func ofCluster(d Data, cluster int) Data {
	kept := Data{Design: d.Design.Keep(func(i int) bool { return d.Spans[i].Cluster == cluster })}
	for _, s := range d.Spans {
		if s.Cluster == cluster {
			kept.Spans = append(kept.Spans, s)
		}
	}
	return kept
}
