package aft_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// TestWaldFromReferenceMatrix takes coefficients and covariance from
// testdata/reference/aft (R's survreg), and of two columns inverts the matrix
// by hand; χ² on 2 degrees of freedom has P = exp(−χ²/2).
func TestWaldFromReferenceMatrix(t *testing.T) {
	tested := 0
	for _, c := range check.Cases(t, "aft") {
		for _, ch := range c.Checks {
			in, want := check.Decode[inputs](t, ch.Inputs), check.Decode[expected](t, ch.Expected)
			if _, part := disputed(c.ID[len("aft/"):] + "/" + ch.ID); part == "all" || len(want.Coef) < 3 {
				continue
			}
			n := len(want.Coef)
			e := Estimate{Names: want.Parameters, LogScale: []float64{0}, Covariance: mat.NewSymDense(len(want.VCov), nil)}
			for i, row := range want.VCov {
				for j, v := range row[:i+1] {
					e.Covariance.SetSym(i, j, float64(v))
				}
			}
			for _, b := range want.Coef {
				e.Coefficients = append(e.Coefficients, float64(b))
			}
			x, y := e.Coefficients[n-2], e.Coefficients[n-1]
			a, b, d := e.Covariance.At(n-2, n-2), e.Covariance.At(n-2, n-1), e.Covariance.At(n-1, n-1)
			chiSq := (d*x*x - 2*b*x*y + a*y*y) / (a*d - b*b)
			got, err := e.Wald(in.X[len(in.X)-2:]...)
			require.NoError(t, err, ch.ID)
			assert.InEpsilon(t, chiSq, got.ChiSq, 1e-9)
			assert.InEpsilon(t, math.Exp(-chiSq/2), got.P, 1e-9)
			assert.Equal(t, 2, got.DF)

			// Hotelling's of two on ν degrees of freedom: (1 + T²/ν)^(−(ν − 1)/2).
			e.DF = 7
			got, err = e.Wald(in.X[len(in.X)-2:]...)
			require.NoError(t, err)
			assert.InEpsilon(t, math.Pow(1+chiSq/7, -3), got.P, 1e-9)
			tested++
		}
	}
	assert.Greater(t, tested, 3)
}

// Of one column the test is that of its parameter.
func TestWaldOfOneColumn(t *testing.T) {
	m := fitTwoColumns(t)
	robust, err := m.ByCluster(Jackknife)
	require.NoError(t, err)
	for _, m := range []*Model{m, robust} {
		parameters, err := m.Parameters(0.95)
		require.NoError(t, err)
		for _, p := range parameters[1:3] {
			got, err := m.Wald(p.Name)
			require.NoError(t, err)
			assert.InEpsilon(t, p.P, got.P, 1e-9, p.Name)
			assert.InEpsilon(t, p.Value*p.Value/(p.SE*p.SE), got.ChiSq, 1e-9)
		}
	}
}

func TestWaldRefuses(t *testing.T) {
	m := fitTwoColumns(t)
	for _, columns := range [][]string{{}, {"z"}, {"x", "x"}, {"log(scale)"}} {
		_, err := m.Wald(columns...)
		assert.Error(t, err, columns)
	}
	few := *m
	few.DF = 1
	_, err := few.Wald("x", "g=b")
	assert.ErrorContains(t, err, "too few clusters")
}

// fitTwoColumns is a Weibull of 60 lives in 20 clusters with a number and a
// factor.
func fitTwoColumns(t *testing.T) *Model {
	t.Helper()
	random := rand.New(rand.NewPCG(7, 7))
	var spans []survival.Span
	var x []float64
	var g []string
	for i := range 60 {
		x = append(x, random.NormFloat64())
		g = append(g, []string{"a", "b"}[i%2])
		life := 100 * math.Exp(0.2*x[i]+0.4*math.Log(random.ExpFloat64()))
		spans = append(spans, survival.Between(0.8*life, 1.3*life).OfCluster(i/3))
	}
	design, err := NewDesign(len(spans), Numeric("x", x), Factor("g", g))
	require.NoError(t, err)
	m, err := Fit(Data{Spans: spans, Design: design}, Weibull)
	require.NoError(t, err)
	return m
}
