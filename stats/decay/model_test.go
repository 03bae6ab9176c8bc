package decay

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// anyCurve draws parameters of a shape that fall from 90–180 to 0–90 within
// some hundred days.
func anyCurve(t *rapid.T, shape Shape) []float64 {
	floor := rapid.Float64Range(0, 90).Draw(t, "floor")
	start := rapid.Float64Range(90, 180).Draw(t, "start")
	tau := rapid.Float64Range(20, 2000).Draw(t, "tau")
	switch shape {
	case LinearShape:
		return []float64{lineStartAt: start, rateAt: 40 / tau}
	case StretchedShape:
		return []float64{floorAt: floor, startAt: start, tauAt: tau, powerAt: rapid.Float64Range(0.3, 4).Draw(t, "power")}
	case LogisticShape:
		return []float64{floorAt: floor, topAt: start, midAt: tau, widthAt: rapid.Float64Range(20, 500).Draw(t, "width")}
	}
	return []float64{floorAt: floor, startAt: start, tauAt: tau}
}

// Derivatives against central differences of the value, at any curve.
func TestGradients(t *testing.T) {
	for _, shape := range Shapes() {
		t.Run(string(shape), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				model, beta := shape.Model(), anyCurve(t, shape)
				time := rapid.Float64Range(0, 2000).Draw(t, "time")
				// Central differences of values near 100 are good to about 1e-8.
				wantGradient(t, model, beta, time, check.Tolerance{Rel: 1e-6, Abs: 1e-7})
			})
		})
	}
}

// wantGradient holds the derivatives of a model against central differences.
func wantGradient(t *rapid.T, model Model, beta []float64, time float64, tol check.Tolerance) {
	got := make([]float64, len(beta))
	model.Eval(beta, time, got)
	want := fd.Gradient(nil, func(b []float64) float64 {
		return model.Eval(b, time, make([]float64, len(b)))
	}, beta, &fd.Settings{Formula: fd.Central})
	for j := range want {
		wantNear(t, model.Parameters[j], got[j], want[j], tol)
	}
}

// Along any of its straight parameters the slopes by the others stay what they are.
func TestStraightParameters(t *testing.T) {
	for _, shape := range Shapes() {
		t.Run(string(shape), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				model, beta := shape.Model(), anyCurve(t, shape)
				require.NotEmpty(t, model.Straight)
				time := rapid.Float64Range(0, 2000).Draw(t, "time")
				here, there := make([]float64, len(beta)), make([]float64, len(beta))
				model.Eval(beta, time, here)
				for _, j := range model.Straight {
					moved := slices.Clone(beta)
					moved[j] += rapid.Float64Range(-20, 20).Draw(t, "step")
					model.Eval(moved, time, there)
					for _, k := range model.Straight {
						assert.Equal(t, here[k], there[k])
					}
				}
			})
		})
	}
}

// At time 0 and long after the fall the stretched exponential is its start and
// its floor, with no trace of the infinities on the way.
func TestStretchedAtItsEnds(t *testing.T) {
	beta, gradient := []float64{floorAt: 60, startAt: 110, tauAt: 100, powerAt: 0.5}, make([]float64, 4)
	assert.Equal(t, 110.0, Stretched().Eval(beta, 0, gradient))
	assert.Equal(t, []float64{0, 1, 0, 0}, gradient)
	beta[powerAt] = 400
	assert.Equal(t, 60.0, Stretched().Eval(beta, 1e5, gradient))
	assert.Equal(t, []float64{1, 0, 0, 0}, gradient)
}

// With power 1 it is the exponential.
func TestStretchedOfPowerOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		beta := anyCurve(t, ExponentialShape)
		time := rapid.Float64Range(0, 2000).Draw(t, "time")
		want, got := make([]float64, 3), make([]float64, 4)
		wantNear(t, "value", Stretched().Eval(append(beta[:3:3], 1), time, got), Exponential().Eval(beta, time, want), check.Tolerance{Rel: 1e-12})
		for j := range want {
			wantNear(t, "derivative", got[j], want[j], check.Tolerance{Rel: 1e-12})
		}
	})
}

func TestShapeNamed(t *testing.T) {
	for _, shape := range Shapes() {
		got, err := ShapeNamed(string(shape))
		require.NoError(t, err)
		assert.Equal(t, shape, got)
	}
	_, err := ShapeNamed("parabola")
	assert.ErrorContains(t, err, `"parabola"; choose from linear, exponential, stretched, logistic`)
	assert.Panics(t, func() { Shape("parabola").Model() })
}
