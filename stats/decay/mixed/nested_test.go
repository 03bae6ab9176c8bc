package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

var nestedModel = LinearModel{
	Fixed: []string{"1", "x"}, Levels: []Level{{[]string{"1", "x"}, true}, {[]string{"1"}, false}},
}

// nestedRows draws weighted rows of inner groups within outer groups.
func nestedRows(random *rand.Rand, outer int) []Row {
	var rows []Row
	for g := range outer {
		b, slope := 2*random.NormFloat64(), random.NormFloat64()
		for s := range 1 + g%3 {
			c := random.NormFloat64()
			for range 2 + random.IntN(4) {
				x := 3 * random.Float64()
				w := 0.5 + random.Float64()
				rows = append(rows, Row{
					Value: 4 + b + c + slope*x + random.NormFloat64()/math.Sqrt(w), Weight: w,
					Fixed: []float64{1, x}, Outer: g, Inner: s, OuterRandom: []float64{1, x}, InnerRandom: []float64{1},
				})
			}
		}
	}
	return rows
}

// dense is the same model with all matrices written out whole: the second,
// naive way to the same numbers.
type dense struct {
	x, z, v, g *mat.Dense // g: covariance of all random effects
	y          *mat.VecDense
}

func newDense(rows []Row, fit *LinearFit) dense {
	n, σ2 := len(rows), fit.ResidualSD*fit.ResidualSD
	outers := map[int]bool{}
	for _, r := range rows {
		outers[r.Outer] = true
	}
	q1, q2 := len(rows[0].OuterRandom), len(rows[0].InnerRandom)
	atInner := map[label]int{}
	for s, g := range fit.Groups {
		atInner[label{g.Outer, g.Inner}] = q1*len(outers) + q2*s
	}
	q := q1*len(outers) + q2*len(fit.Groups)
	d := dense{
		x: mat.NewDense(n, len(rows[0].Fixed), nil), z: mat.NewDense(n, q, nil),
		g: mat.NewDense(q, q, nil), v: mat.NewDense(n, n, nil), y: mat.NewVecDense(n, nil),
	}
	for i, r := range rows {
		d.y.SetVec(i, r.Value)
		d.x.SetRow(i, r.Fixed)
		for j, z := range r.OuterRandom {
			d.z.Set(i, q1*r.Outer+j, z)
		}
		for j, z := range r.InnerRandom {
			d.z.Set(i, atInner[label{r.Outer, r.Inner}]+j, z)
		}
	}
	for g := range outers {
		d.g.Slice(q1*g, q1*g+q1, q1*g, q1*g+q1).(*mat.Dense).Copy(fit.Levels[0].Covariance)
	}
	for _, at := range atInner {
		d.g.Slice(at, at+q2, at, at+q2).(*mat.Dense).Copy(fit.Levels[1].Covariance)
	}
	d.v.Product(d.z, d.g, d.z.T())
	for i, r := range rows {
		d.v.Set(i, i, d.v.At(i, i)+σ2/r.Weight)
	}
	return d
}

func TestNestedAgainstDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := nestedRows(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3)), rapid.IntRange(4, 9).Draw(t, "outer"))
		model := nestedModel
		model.Criterion = rapid.SampledFrom([]Criterion{ML, REML}).Draw(t, "criterion")
		fit, err := Linear(rows, model)
		require.NoError(t, err)
		d := newDense(rows, fit)

		var vInverse, information, covariance mat.Dense
		require.NoError(t, vInverse.Inverse(d.v))
		information.Product(d.x.T(), &vInverse, d.x)
		require.NoError(t, covariance.Inverse(&information))
		var β, rest, b mat.VecDense
		β.MulVec(d.x.T(), mulVec(&vInverse, d.y))
		β.MulVec(&covariance, mat.VecDenseCopyOf(&β))
		rest.MulVec(d.x, &β)
		rest.SubVec(d.y, &rest)
		b.MulVec(d.z.T(), mulVec(&vInverse, &rest))
		b.MulVec(d.g, mat.VecDenseCopyOf(&b))

		logDet, _ := mat.LogDet(d.v)
		logLik := logDet + mat.Dot(&rest, mulVec(&vInverse, &rest))
		freedom := float64(len(rows))
		if model.Criterion == REML {
			logDetX, _ := mat.LogDet(&information)
			logLik += logDetX
			freedom -= 2
		}
		logLik = -(logLik + freedom*math.Log(2*math.Pi)) / 2

		tol := check.Tolerance{Rel: 1e-7, Abs: 1e-8}
		near(t, "log-likelihood", fit.LogLik, logLik, tol)
		for j, e := range fit.Fixed {
			near(t, "fixed", e.Value, β.AtVec(j), tol)
			near(t, "SE", e.SE, math.Sqrt(covariance.At(j, j)), tol)
		}
		outers := (b.Len() - len(fit.Groups)) / 2
		for s, g := range fit.Groups {
			near(t, "outer effect", g.OuterEffects[0], b.AtVec(2*g.Outer), tol)
			near(t, "outer slope", g.OuterEffects[1], b.AtVec(2*g.Outer+1), tol)
			near(t, "inner effect", g.InnerEffects[0], b.AtVec(2*outers+s), tol)
		}
	})
}

func mulVec(a mat.Matrix, v mat.Vector) *mat.VecDense {
	var to mat.VecDense
	to.MulVec(a, v)
	return &to
}

// The error of a prediction from Henderson's equations, whose inverse is the
// covariance of all errors at once (Henderson, Biometrics 31 (1975) 423–447).
func TestUncertaintyAgainstHenderson(t *testing.T) {
	rows := nestedRows(rand.New(rand.NewPCG(7, 4)), 6)
	model := nestedModel
	model.Criterion = ML
	n, err := arrange(rows, model)
	require.NoError(t, err)
	require.NoError(t, n.reduce(model.Fixed))
	f := n.form(model.Levels)
	θ := []float64{1.5, -0.4, 0.8, 0.9}
	λ := f.factors(θ)
	require.True(t, n.absorb(λ[0], λ[1]))
	fit := &LinearFit{Fitness: Fitness{ResidualSD: 1}, Groups: n.groups()}
	for l, level := range model.Levels {
		fit.Levels = append(fit.Levels, newSpread(level.Effects, λ[l], 1))
	}
	d := newDense(rows, fit)

	p, q := 2, d.g.RawMatrix().Rows
	xz := mat.NewDense(len(rows), p+q, nil)
	for i, r := range rows {
		for j := range p {
			xz.Set(i, j, d.x.At(i, j)*math.Sqrt(r.Weight))
		}
		for j := range q {
			xz.Set(i, p+j, d.z.At(i, j)*math.Sqrt(r.Weight))
		}
	}
	var left, gInverse, covariance mat.Dense
	left.Mul(xz.T(), xz)
	require.NoError(t, gInverse.Inverse(d.g))
	inner := left.Slice(p, p+q, p, p+q).(*mat.Dense)
	inner.Add(inner, &gInverse)
	require.NoError(t, covariance.Inverse(&left))

	unscaled := n.fixedCovariance(ML)
	unscaled.ScaleSym(1/math.Pow(n.sigma(ML), 2), unscaled)
	a, b, c := []float64{1, 2}, []float64{0.7, -1.2}, []float64{1.5}
	for s, g := range fit.Groups {
		whole := mat.NewVecDense(p+q, nil)
		whole.SetVec(0, a[0])
		whole.SetVec(1, a[1])
		whole.SetVec(p+2*g.Outer, b[0])
		whole.SetVec(p+2*g.Outer+1, b[1])
		whole.SetVec(p+2*6+s, c[0])
		known, rest := n.error(g.Outer, s, a, b, c)
		got := floats.Dot(known, known) + mat.Inner(mat.NewVecDense(p, rest), unscaled, mat.NewVecDense(p, rest))
		near(t, "variance", got, mat.Inner(whole, &covariance, whole), check.Tolerance{Rel: 1e-9})
	}
}

func TestDevianceGradient(t *testing.T) {
	rows := nestedRows(rand.New(rand.NewPCG(5, 5)), 8)
	n, err := arrange(rows, nestedModel)
	require.NoError(t, err)
	require.NoError(t, n.reduce(nestedModel.Fixed))
	f := n.form(nestedModel.Levels)
	for _, by := range []Criterion{ML, REML} {
		for _, θ := range [][]float64{{1, 0, 1, 1}, {0.3, -0.5, 1.4, 0}, {2, 1, 0, 0.1}} {
			λ := f.factors(θ)
			require.True(t, n.absorb(λ[0], λ[1]))
			got := make([]float64, 4)
			f.chain(λ, n.slopes(by), got)
			want := fd.Gradient(nil, func(θ []float64) float64 {
				λ := f.factors(θ)
				n.absorb(λ[0], λ[1])
				return n.deviance(by)
			}, θ, &fd.Settings{Formula: fd.Central})
			for j := range want {
				near(t, "derivative", got[j], want[j], check.Tolerance{Rel: 1e-6, Abs: 1e-6})
			}
		}
	}
}

// At θ = 0 symmetry makes every slope 0. A search that starts there must see
// that a variance above 0 is better, and start elsewhere.
func TestEstimateLeavesSaddle(t *testing.T) {
	rows := []Row{oneWayRow(1, 0), oneWayRow(2, 0), oneWayRow(8, 1), oneWayRow(9, 1), oneWayRow(4, 2), oneWayRow(6, 2)}
	n, err := arrange(rows, oneWay(REML))
	require.NoError(t, err)
	require.NoError(t, n.reduce([]string{"mean"}))
	f := n.form(oneWay(REML).Levels)
	m, err := n.estimate(f, REML, [][]float64{{0}, {1}})
	require.NoError(t, err)
	fit, err := Linear(rows, oneWay(REML))
	require.NoError(t, err)
	near(t, "variance", m.at[0]*n.sigma(REML), fit.Levels[0].SD(0), check.Tolerance{Rel: 1e-6})
	require.Greater(t, m.at[0], 1.)
}
