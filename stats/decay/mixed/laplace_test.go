package mixed

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
)

// laplaceOf brings a fleet to its first-order estimates.
func laplaceOf(t testing.TB, readings []Reading, model CurveModel) *laplace {
	l, err := newFleet(readings, model)
	require.NoError(t, err)
	require.NoError(t, l.approach())
	return newLaplace(l)
}

// The gradient is that of the deviance, away from the optimum too.
func TestLaplaceGradient(t *testing.T) {
	readings, _ := drawFleet(rand.New(rand.NewPCG(8, 15)), 25, 8)
	for name, change := range map[string]func(*CurveModel){
		"two levels": func(*CurveModel) {},
		"outer":      func(m *CurveModel) { m.Parameters[2].Inner = false },
		"inner": func(m *CurveModel) {
			m.Parameters[1].Outer, m.Parameters[2].Outer = false, false
			m.Parameters[0].Inner = true
		},
		"correlated": func(m *CurveModel) { m.Correlated, m.Parameters[1].Inner = true, true },
		"known":      func(m *CurveModel) { m.Parameters[0].Known = &truth.floor },
		"all":        func(m *CurveModel) { m.Parameters[0].Inner, m.Parameters[1].Inner = true, true },
		"around known": func(m *CurveModel) {
			m.Parameters[0] = Parameter{Known: &truth.floor, Inner: true}
			m.Parameters[1].Inner = true
		},
		"stretched": func(m *CurveModel) {
			m.Parameters[0].Inner, m.Parameters[1].Inner = true, true
			*m = stretchedModel(*m, append(slices.Clone(m.Start), 1.2))
		},
	} {
		t.Run(name, func(t *testing.T) {
			model := fleetModel
			model.Parameters = append([]Parameter(nil), model.Parameters...)
			change(&model)
			a := laplaceOf(t, readings, model)
			random := rand.New(rand.NewPCG(9, 16))
			z := make([]float64, len(a.center))
			normals(random, z)
			gradient := make([]float64, len(z))
			a.deviance(z, gradient)
			for j := range z {
				const h = 1e-3
				moved := append([]float64(nil), z...)
				sum := 0.0 // five points: an error of order h⁴
				for at, weight := range map[float64]float64{-2: 1, -1: -8, 1: 8, 2: -1} {
					moved[j] = z[j] + at*h
					sum += weight * a.deviance(moved, nil)
				}
				near(t, "slope", gradient[j], sum/(12*h), check.Tolerance{Abs: 2e-6, Rel: 2e-6})
			}
		})
	}
}
