package aft_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// known is a model with e^μ = 300 and given σ, and some covariance.
func known(law Distribution, μ, σ float64) Estimate {
	e := Estimate{Distribution: law, Names: []string{InterceptName, "log(scale)"},
		Coefficients: []float64{μ}, LogScale: []float64{math.Log(σ)},
		Covariance: mat.NewSymDense(2, []float64{0.04, 0.01, 0.01, 0.03})}
	if law == Exponential {
		e.Names, e.LogScale, e.Covariance = e.Names[:1], []float64{0}, mat.NewSymDense(1, []float64{0.04})
	}
	return e
}

var single = Life{X: []float64{1}}

// An exponential life does not age: what it has lasted changes nothing, and the
// limits are those of its mean.
func TestExponentialHasNoMemory(t *testing.T) {
	e := known(Exponential, math.Log(300), 1)
	z := distuv.UnitNormal.Quantile(0.975)
	for _, alive := range []float64{0, 1, 500, 1e5} {
		c, err := e.GivenAlive(single, alive, alive+120, 0.95)
		require.NoError(t, err)
		assert.InEpsilon(t, math.Exp(-0.4), c.Survival, 1e-10)
		assert.InEpsilon(t, math.Exp(-0.4*math.Exp(0.2*z)), c.Lower, 1e-10)
		assert.InEpsilon(t, math.Exp(-0.4*math.Exp(-0.2*z)), c.Upper, 1e-10)

		r, err := e.RemainingLife(single, alive, math.Inf(1), 0.95)
		require.NoError(t, err)
		assert.InEpsilon(t, 300, r.Expected, 1e-10)
		assert.InEpsilon(t, 300*0.2, r.SE, 1e-9)
		assert.InEpsilon(t, 300*math.Exp(-0.2*z), r.Lower, 1e-9)
		r, err = e.RemainingLife(single, alive, 600, 0.95)
		require.NoError(t, err)
		assert.InEpsilon(t, 300*(1-math.Exp(-2)), r.Expected, 1e-10)
	}
}

// Mean residual lives in closed form: by the incomplete gamma function, the
// normal distribution and the incomplete beta function (Johnson, Kotz and
// Balakrishnan, Continuous Univariate Distributions, from memory).
func TestRemainingLifeInClosedForm(t *testing.T) {
	μ := math.Log(300)
	for _, σ := range []float64{0.5, 0.9, 0.999, 1, 2, 5} {
		for _, alive := range []float64{0, 1e-6, 50, 400, 2000} {
			hazard := math.Pow(alive/300, 1/σ)
			w := 300*math.Exp(hazard)*mathext.GammaIncRegComp(1+σ, hazard)*math.Gamma(1+σ) - alive
			remains(t, known(Weibull, μ, σ), alive, w)

			z := (math.Log(alive) - μ) / σ
			w = math.Exp(μ+σ*σ/2)*distuv.UnitNormal.Survival(z-σ)/distuv.UnitNormal.Survival(z) - alive
			remains(t, known(LogNormal, μ, σ), alive, w)

			w = math.Inf(1)
			if s := 1 / (1 + hazard); σ < 1 {
				w = 300 * mathext.RegIncBeta(1-σ, σ, s) * math.Pi * σ / math.Sin(math.Pi*σ) / s
			}
			remains(t, known(LogLogistic, μ, σ), alive, w)
		}
	}
}

func remains(t *testing.T, e Estimate, alive, want float64) {
	t.Helper()
	what := fmt.Sprintf("%v σ %v alive %v", e.Distribution, math.Exp(e.LogScale[0]), alive)
	r, err := e.RemainingLife(single, alive, math.Inf(1), 0.95)
	require.NoError(t, err)
	if math.IsInf(want, 1) {
		assert.Equal(t, want, r.Expected, what)
		assert.True(t, math.IsNaN(r.Lower) && math.IsNaN(r.SE), what)
		return
	}
	assert.InEpsilon(t, want, r.Expected, 1e-7, what)
	assert.Less(t, r.Lower, r.Expected, what)
	assert.Greater(t, r.Upper, r.Expected, what)
}

// Standard errors of both outlooks follow the derivatives of what they report.
func TestOutlookErrorsAreDeltas(t *testing.T) {
	for _, law := range Distributions() {
		for _, alive := range []float64{0, 100, 900} {
			for _, ahead := range []float64{30, 400, math.Inf(1)} {
				e := known(law, math.Log(300), 0.7)
				θ := []float64{math.Log(300), math.Log(0.7)}[:len(e.Names)]
				moved := func(θ []float64) Estimate {
					if law == Exponential {
						return known(law, θ[0], 1)
					}
					return known(law, θ[0], math.Exp(θ[1]))
				}
				r, err := e.RemainingLife(single, alive, ahead, 0.95)
				require.NoError(t, err)
				assert.InEpsilon(t, delta(e, θ, func(θ []float64) float64 {
					moved := moved(θ)
					r, _ := moved.RemainingLife(single, alive, ahead, 0.95)
					return r.Expected
				}), r.SE, 1e-5, "%v alive %v ahead %v", law, alive, ahead)
				assert.True(t, 0 < r.Lower && r.Lower < r.Expected && r.Expected < r.Upper && r.Upper < ahead, "%+v", r)
				if math.IsInf(ahead, 1) {
					continue
				}
				c, err := e.GivenAlive(single, alive, alive+ahead, 0.95)
				require.NoError(t, err)
				assert.InEpsilon(t, delta(e, θ, func(θ []float64) float64 {
					moved := moved(θ)
					c, _ := moved.GivenAlive(single, alive, alive+ahead, 0.95)
					return c.Survival
				}), c.SE, 1e-5)
				s := func(t float64) float64 { s, _ := e.Survival(single, t, 0.95); return s.Survival }
				assert.InEpsilon(t, s(alive+ahead)/s(alive), c.Survival, 1e-9)
			}
		}
	}
}

// delta is the standard error of a function of θ by numerical derivatives.
func delta(e Estimate, θ []float64, f func([]float64) float64) float64 {
	g := mat.NewVecDense(len(θ), fd.Gradient(nil, f, θ, &fd.Settings{Formula: fd.Central, Step: 1e-5}))
	return math.Sqrt(mat.Inner(g, e.Covariance, g))
}

// A life that has outlasted its model by far is soon over; one that has just
// begun and is asked about for a moment ahead is not.
func TestOutlookAtTheEdges(t *testing.T) {
	e := known(Weibull, math.Log(300), 0.05)
	r, err := e.RemainingLife(single, 5000, math.Inf(1), 0.95)
	require.NoError(t, err)
	hazard := math.Pow(5000.0/300, 20) * 20 / 5000 // per unit of time
	assert.InEpsilon(t, 1/hazard, r.Expected, 1e-6)
	assert.InEpsilon(t, delta(e, []float64{math.Log(300), math.Log(0.05)}, func(θ []float64) float64 {
		moved := known(Weibull, θ[0], math.Exp(θ[1]))
		r, _ := moved.RemainingLife(single, 5000, math.Inf(1), 0.95)
		return r.Expected
	}), r.SE, 1e-4)
	r, err = e.RemainingLife(single, 0, 1e-3, 0.95)
	require.NoError(t, err)
	assert.Equal(t, 1e-3, r.Expected)
	c, err := e.GivenAlive(single, 10, 10, 0.95)
	require.NoError(t, err)
	assert.Equal(t, Chance{Time: 10, Survival: 1, Lower: 1, Upper: 1}, c)
}

func TestOutlookRefuses(t *testing.T) {
	e := known(Weibull, 5, 1)
	_, err := e.GivenAlive(single, 10, 9, 0.95)
	assert.ErrorContains(t, err, "lies before")
	_, err = e.GivenAlive(single, -1, 9, 0.95)
	assert.ErrorContains(t, err, "time -1")
	_, err = e.RemainingLife(single, 1, 0, 0.95)
	assert.ErrorContains(t, err, "horizon 0")
	_, err = e.Survival(single, math.NaN(), 0.95)
	assert.ErrorContains(t, err, "time NaN")
	_, err = e.Quantile(single, 1, 0.95)
	assert.ErrorIs(t, err, survival.ErrShare)
	_, err = e.Quantile(single, 0.5, 1)
	assert.ErrorIs(t, err, survival.ErrLevel)
	_, err = e.Quantile(Life{X: []float64{1, 2}}, 0.5, 0.95)
	assert.ErrorContains(t, err, "2 covariates with its intercept, the model 1")
	_, err = e.Quantile(Life{X: []float64{1}, Stratum: 1}, 0.5, 0.95)
	assert.ErrorContains(t, err, "stratum 1")
	_, err = e.Quantile(Life{X: []float64{math.NaN()}}, 0.5, 0.95)
	assert.ErrorContains(t, err, "not a finite number")
}
