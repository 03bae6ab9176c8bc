package decay

import (
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// Derivatives against central differences of the value, at any curve.
func TestExponentialGradient(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		beta := []float64{
			floorAt: rapid.Float64Range(0, 90).Draw(t, "floor"),
			startAt: rapid.Float64Range(90, 180).Draw(t, "start"),
			tauAt:   rapid.Float64Range(20, 2000).Draw(t, "tau"),
		}
		time := rapid.Float64Range(0, 2000).Draw(t, "time")
		got := make([]float64, 3)
		Exponential().Eval(beta, time, got)
		want := fd.Gradient(nil, func(b []float64) float64 {
			return Exponential().Eval(b, time, make([]float64, 3))
		}, beta, &fd.Settings{Formula: fd.Central})
		for j := range want {
			// Central differences of values near 100 are good to about 1e-8.
			wantNear(t, Exponential().Parameters[j], got[j], want[j], check.Tolerance{Rel: 1e-6, Abs: 1e-7})
		}
	})
}
