package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// curvature is the Hessian of the deviance by central differences of its exact
// gradient, over a twentieth of about a standard error.
func (a *laplace) curvature(z []float64) *mat.SymDense {
	const h = 0.05
	moved, down := slices.Clone(z), make([]float64, len(z))
	return symmetric(len(z), func(j int, row []float64) {
		moved[j] = z[j] + h
		a.deviance(moved, row)
		moved[j] = z[j] - h
		a.deviance(moved, down)
		moved[j] = z[j]
		floats.Sub(row, down)
		floats.Scale(1/(2*h), row)
	})
}

// updated returns a curvature for one search: by differences where it starts,
// and from there on with what the gradients along the way tell of it (the
// update of Broyden, Fletcher, Goldfarb and Shanno), or anew where they tell
// that the deviance is not convex.
func (a *laplace) updated() func(z, gradient []float64) *mat.SymDense {
	var hessian *mat.SymDense
	var at, was []float64
	return func(z, gradient []float64) *mat.SymDense {
		if hessian == nil || !update(hessian, at, was, z, gradient) {
			hessian = differenced(a.deviance)(z, gradient)
		}
		at, was = slices.Clone(z), slices.Clone(gradient)
		return hessian
	}
}

// update makes a Hessian agree with the gradients at two places. It reports
// false if no positive one does.
func update(hessian *mat.SymDense, from, gradientFrom, to, gradientTo []float64) bool {
	step, turn := mat.NewVecDense(len(to), nil), mat.NewVecDense(len(to), nil)
	floats.SubTo(step.RawVector().Data, to, from)
	floats.SubTo(turn.RawVector().Data, gradientTo, gradientFrom)
	var bent mat.VecDense
	bent.MulVec(hessian, step)
	along, was := mat.Dot(step, turn), mat.Dot(step, &bent)
	if !(along > 1e-3*math.Abs(was) && was > 0) {
		return false
	}
	hessian.SymRankOne(hessian, 1/along, turn)
	hessian.SymRankOne(hessian, -1/was, &bent)
	return true
}

// mostUnits bounds what is not known in a direction in which the likelihood is
// flat, as at a variance of 0.
const mostUnits = 5

// root returns a root of what is not known of (β, θ, log σ): twice the inverse
// Hessian of the deviance for (β, θ), and given these 1/2n for log σ. It is nil
// if the deviance is not at a minimum.
func (a *laplace) root(hessian *mat.EigenSym, ofLogσ []float64) *mat.Dense {
	k := len(a.center)
	values := hessian.Values(nil)
	if !(values[0] > -1e-5*values[k-1]) {
		return nil
	}
	var axes mat.Dense
	hessian.VectorsTo(&axes)
	for j, bend := range values {
		size := float64(mostUnits)
		if bend > 0 {
			size = min(size, math.Sqrt(2/bend))
		}
		for i := range k {
			axes.Set(i, j, axes.At(i, j)*size)
		}
	}
	root := mat.NewDense(k+1, k+1, nil)
	root.Slice(0, k, 0, k).(*mat.Dense).Mul(a.unit, &axes)
	root.Slice(k, k+1, 0, k).(*mat.Dense).Mul(mat.NewDense(1, k, ofLogσ), &axes)
	root.Set(k, k, 1/math.Sqrt(2*float64(len(a.order))))
	return root
}

// units returns, as its columns, steps of (β, θ) of about one standard error by
// the first-order fit.
func (l *fleet) units() *mat.Dense {
	k := l.p + len(l.best.at)
	unit := mat.NewDense(k, k, nil)
	var root mat.Cholesky
	var lower mat.TriDense
	root.Factorize(l.fixedCovariance(ML))
	root.LTo(&lower)
	unit.Slice(0, l.p, 0, l.p).(*mat.Dense).Copy(&lower)
	for j, x := range l.best.at {
		size := 0.1 * max(0.1, math.Abs(x))
		if bend := l.best.hessian.At(j, j); bend > 0 {
			size = min(math.Sqrt(2/bend), max(0.1, math.Abs(x)))
		}
		unit.Set(l.p+j, l.p+j, size)
	}
	return unit
}
