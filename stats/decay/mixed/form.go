package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// form turns the numbers θ that a search varies into the factors Λ of the
// levels. A level has the lower triangle of its Λ in θ, column by column, or
// only the diagonal; each row is multiplied by the size of its random column,
// so that a θ of 1 means as much spread in y as the error has, in any unit.
//
// θ is free: changing the sign of a column of Λ changes nothing, and a
// variance of 0 is an ordinary minimum in θ.
type form struct {
	levels [2]levelForm
	size   int
}

type levelForm struct {
	q          int
	correlated bool
	scale      []float64 // root mean square of each column
}

// form returns the form of the levels for the data at hand.
func (n *nested) form(levels []Level) form {
	f := form{}
	from := [2]int{n.q2, 0}
	for l, level := range levels {
		q := len(level.Effects)
		scale := make([]float64, q)
		for j := range scale {
			for i := range n.order {
				scale[j] = math.Hypot(scale[j], n.row(i)[from[l]+j])
			}
			scale[j] /= math.Sqrt(float64(len(n.order)))
			if scale[j] == 0 {
				scale[j] = 1
			}
		}
		f.levels[l] = levelForm{q, level.Correlated, scale}
		f.size += len(f.levels[l].places())
	}
	return f
}

// place is where an element of θ stands in Λ.
type place struct{ row, col int }

func (f levelForm) places() []place {
	var list []place
	for col := range f.q {
		list = append(list, place{col, col})
		for row := col + 1; f.correlated && row < f.q; row++ {
			list = append(list, place{row, col})
		}
	}
	return list
}

// allPlaces lists those of both levels, in the order of θ.
func (f form) allPlaces() []place {
	return append(f.levels[0].places(), f.levels[1].places()...)
}

// starts are the places to search from, best guess first.
func (f form) starts() [][]float64 {
	var list [][]float64
	for _, spread := range []float64{1, 0.1, 10} {
		var θ []float64
		for _, level := range f.levels {
			for _, p := range level.places() {
				x := 0.0
				if p.row == p.col {
					x = spread
				}
				θ = append(θ, x)
			}
		}
		list = append(list, θ)
	}
	return list
}

// factors returns Λ₁ and Λ₂.
func (f form) factors(θ []float64) (λ [2]blas64.Triangular) {
	for l, level := range f.levels {
		λ[l] = noSpread(level.q)
		for _, p := range level.places() {
			λ[l].Data[p.row*level.q+p.col] = θ[0] / level.scale[p.row]
			θ = θ[1:]
		}
	}
	return λ
}

// noSpread is the Λ of a level of q effects that are all 0.
func noSpread(q int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: q, Stride: max(1, q), Data: make([]float64, q*q)}
}

// angles is the inverse of factors, with no diagonal element below 0.
func (f form) angles(λ [2]blas64.Triangular) []float64 {
	var θ []float64
	for l, level := range f.levels {
		for _, p := range level.places() {
			x := λ[l].Data[p.row*level.q+p.col] * level.scale[p.row]
			if λ[l].Data[p.col*level.q+p.col] < 0 {
				x = -x
			}
			θ = append(θ, x)
		}
	}
	return θ
}

// chain turns derivatives by ΛΛᵀ, D, into those by θ: 2DΛ by Λ.
func (f form) chain(λ [2]blas64.Triangular, d [2][]float64, gradient []float64) {
	at := 0
	for l, level := range f.levels {
		for _, p := range level.places() {
			sum := 0.0
			for k := p.col; k < level.q; k++ {
				sum += d[l][p.row*level.q+k] * λ[l].Data[k*level.q+p.col]
			}
			gradient[at] = 2 * sum / level.scale[p.row]
			at++
		}
	}
}

// singularBelow is the share of the error's size below which a variance that
// a search has driven down is taken for 0. Common practice, no source.
const singularBelow = 1e-4

// singular reports whether a covariance is on the border of the possible.
func (f form) singular(θ []float64) bool {
	return f.some(func(at int, p place) bool { return p.row == p.col && math.Abs(θ[at]) < singularBelow })
}

func (f form) some(holds func(at int, p place) bool) bool {
	at := 0
	for _, level := range f.levels {
		for _, p := range level.places() {
			if holds(at, p) {
				return true
			}
			at++
		}
	}
	return false
}

// steepest returns the most negative slope of the deviance that any direction
// of covariances which are still possible has, in the scale of θ², or 0. At a
// minimum in θ that is not one in the covariance, it is below 0.
func (f form) steepest(d [2][]float64) float64 {
	least := 0.0
	for l, level := range f.levels {
		if level.q == 0 {
			continue
		}
		sized := mat.NewSymDense(level.q, nil)
		for i := range level.q {
			for j := i; j < level.q; j++ {
				if i == j || level.correlated {
					sized.SetSym(i, j, d[l][i*level.q+j]/(level.scale[i]*level.scale[j]))
				}
			}
		}
		var eigen mat.EigenSym
		if eigen.Factorize(sized, false) {
			least = min(least, slices.Min(eigen.Values(nil)))
		}
	}
	return least
}
