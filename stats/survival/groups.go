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

// pooled joins groups into one slice with ties merged across them, after
// validating each. group tells where each span came from.
func pooled(groups [][]Span, validate func([]Span) error) (spans []Span, group []int, err error) {
	if len(groups) < 2 {
		return nil, nil, fmt.Errorf("%w: there must be two or more, got %d", ErrIncomparable, len(groups))
	}
	for g, members := range groups {
		if err := validate(members); err != nil {
			return nil, nil, fmt.Errorf("group %d: %w", g, err)
		}
		spans = append(spans, members...)
		for i, s := range members {
			if s.Lives() != 1 {
				return nil, nil, fmt.Errorf("group %d: %w", g, &SpanError{Index: i, Span: s,
					Reason: "has a weight: this comparison takes none"})
			}
			group = append(group, g)
		}
	}
	merged, err := mergedSpans(spans)
	var bad *SpanError
	if errors.As(err, &bad) { // count within the group again
		g := group[bad.Index]
		for _, earlier := range groups[:g] {
			bad.Index -= len(earlier)
		}
		return nil, nil, fmt.Errorf("group %d: %w", g, bad)
	}
	return merged, group, err
}

// split undoes pooled.
func split[T any](pool []T, group []int, groups int) [][]T {
	parts := make([][]T, groups)
	for i, x := range pool {
		parts[group[i]] = append(parts[group[i]], x)
	}
	return parts
}

// chiSquare tests that the sums u, which add up to 0, have mean 0 against their
// covariance v:
//
//	χ² = uᵀ v⁻ u,  v⁻ the generalised inverse
//
// with as many degrees of freedom as v has rank: one fewer than the groups,
// fewer still where some are never compared.
func chiSquare(u []float64, v [][]float64) (chiSq float64, df int, p float64, err error) {
	k := len(u)
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, v[i][j])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(sym, true) {
		return 0, 0, 0, fmt.Errorf("%w: their covariance has no eigenvalues", ErrIncomparable)
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	largest := values[k-1]
	for i, value := range values {
		if !(value > 1e-10*largest) || largest <= 0 {
			continue
		}
		along := mat.Dot(vectors.ColView(i), mat.NewVecDense(k, u))
		chiSq += along * along / value
		df++
	}
	if df == 0 || math.IsNaN(chiSq) {
		return 0, 0, 0, fmt.Errorf("%w: no two are at risk when a life ends", ErrIncomparable)
	}
	return chiSq, df, chiSquareTail(chiSq, df), nil
}

// chiSquareTail is the probability of a χ² this large or larger.
func chiSquareTail(chiSq float64, df int) float64 {
	return distuv.ChiSquared{K: float64(df)}.Survival(chiSq)
}

func squareMatrix(k int) [][]float64 {
	m := make([][]float64, k)
	for i := range m {
		m[i] = make([]float64, k)
	}
	return m
}
