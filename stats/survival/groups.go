package survival

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ErrIncomparable is returned where the data cannot tell groups apart: fewer
// than two groups, or never two of them at risk when a life ends.
var ErrIncomparable = errors.New("groups cannot be compared")

// pooled joins groups, of which some may be empty, into one slice with ties
// merged across them, after validating each. group tells where each span came
// from.
func pooled(groups [][]Span) (spans []Span, group []int, err error) {
	for g, members := range groups {
		for range members {
			group = append(group, g)
		}
		spans = append(spans, members...)
	}
	if len(spans) == 0 {
		return nil, nil, nil
	}
	merged, err := mergedSpans(spans)
	var bad *SpanError
	if errors.As(err, &bad) { // count within the group
		g := group[bad.Index]
		bad.Index = within(group, bad.Index)
		return nil, nil, fmt.Errorf("group %d: %w", g, bad)
	}
	return merged, group, err
}

// chiSquare tests that the sums u, which add up to 0, have mean 0 against their
// covariance v:
//
//	χ² = uᵀ v⁻ u,  v⁻ the generalised inverse
//
// with as many degrees of freedom as v has rank: one fewer than the groups,
// fewer still where some are never compared.
func chiSquare(u []float64, v [][]float64) (chiSq float64, df int, p float64, err error) {
	root, err := newRoot(v)
	if err != nil {
		return 0, 0, 0, err
	}
	if chiSq = root.square(u); math.IsNaN(chiSq) {
		return 0, 0, 0, fmt.Errorf("%w: their sums are not numbers", ErrIncomparable)
	}
	return chiSq, len(root), chiSquareTail(chiSq, len(root)), nil
}

// root is a square root of a generalised inverse, one row for each dimension in
// which the covariance is above 0.
type root [][]float64

// newRoot is ErrIncomparable where there is no such dimension.
func newRoot(v [][]float64) (root, error) {
	k := len(v)
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, v[i][j])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(sym, true) {
		return nil, fmt.Errorf("%w: their covariance has no eigenvalues", ErrIncomparable)
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	largest := values[k-1]
	var r root
	for i, value := range values {
		if !(value > 1e-10*largest) || largest <= 0 {
			continue
		}
		row := mat.Col(nil, i, &vectors)
		for j := range row {
			row[j] /= math.Sqrt(value)
		}
		r = append(r, row)
	}
	if len(r) == 0 {
		return nil, fmt.Errorf("%w: no two are at risk when a life ends", ErrIncomparable)
	}
	return r, nil
}

// square is uᵀ v⁻ u.
func (r root) square(u []float64) (sum float64) {
	for _, row := range r {
		along := 0.0
		for j, x := range row {
			along += x * u[j]
		}
		sum += along * along
	}
	return sum
}

// chiSquareTail is the probability of a χ² this large or larger.
func chiSquareTail(chiSq float64, df int) float64 {
	return distuv.ChiSquared{K: float64(df)}.Survival(chiSq)
}

// addDeal adds to v the covariance of dealing lives to groups of the given
// shares, to within a factor,
//
//	factor · (xᵍ [g = h] − xᵍ xʰ/n),  n = ∑ xᵍ
//
// with nothing subtracted on the diagonal: shares of very different size must
// not leave rounding that looks like a variance of its own.
func addDeal(v [][]float64, factor float64, share []float64) {
	n := 0.0
	for _, x := range share {
		n += x
	}
	for g, x := range share {
		for h := g + 1; h < len(share); h++ {
			c := factor * x / n * share[h]
			v[g][g] += c
			v[h][h] += c
			v[g][h] -= c
			v[h][g] -= c
		}
	}
}

func squareMatrix(k int) [][]float64 {
	m := make([][]float64, k)
	for i := range m {
		m[i] = make([]float64, k)
	}
	return m
}
