package pooling

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrData is returned for data that no model can be fitted to.
var ErrData = errors.New("bad data for pooling")

// Data are n estimates and what they have in common.
type Data struct {
	Estimates []float64
	// Covariance is V, that of the estimates' errors, n × n and positive
	// definite. It is taken as known.
	Covariance *mat.SymDense
	// Design is X, a row for each estimate; nil for one mean of all.
	Design [][]float64
	// Groupings say which estimates share a random effect: each numbers the
	// group of each estimate, with any integers of 0 or more.
	Groupings [][]int
}

// columns is the number of coefficients.
func (d Data) columns() int {
	if d.Design == nil {
		return 1
	}
	return len(d.Design[0])
}

func (d Data) validate() error {
	n := len(d.Estimates)
	if n == 0 {
		return fmt.Errorf("%w: no estimates", ErrData)
	}
	if d.Covariance == nil || d.Covariance.SymmetricDim() != n {
		return fmt.Errorf("%w: the covariance isn't that of %d estimates", ErrData, n)
	}
	if d.Design != nil && len(d.Design) != n {
		return fmt.Errorf("%w: the design has %d rows for %d estimates", ErrData, len(d.Design), n)
	}
	for i, row := range d.Design {
		if len(row) != d.columns() {
			return fmt.Errorf("%w: row %d of the design has %d columns, the first has %d", ErrData, i, len(row), d.columns())
		}
		for _, x := range row {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("%w: row %d of the design holds %v", ErrData, i, x)
			}
		}
	}
	for i, y := range d.Estimates {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return fmt.Errorf("%w: estimate %d is %v", ErrData, i, y)
		}
	}
	for k, groups := range d.Groupings {
		if len(groups) != n {
			return fmt.Errorf("%w: grouping %d has %d numbers for %d estimates", ErrData, k, len(groups), n)
		}
		for i, g := range groups {
			if g < 0 {
				return fmt.Errorf("%w: grouping %d numbers the group of estimate %d %d, want 0 or more", ErrData, k, i, g)
			}
		}
	}
	if n <= d.columns() && len(d.Groupings) > 0 {
		return fmt.Errorf("%w: %d estimates tell nothing of variances beside %d coefficients", ErrData, n, d.columns())
	}
	return nil
}

// design returns X as a matrix.
func (d Data) design() *mat.Dense {
	n, p := len(d.Estimates), d.columns()
	x := mat.NewDense(n, p, nil)
	for i := range n {
		if d.Design == nil {
			x.Set(i, 0, 1)
			continue
		}
		x.SetRow(i, d.Design[i])
	}
	return x
}

// shared returns ZZ' of grouping k: 1 where two estimates are of one group.
func (d Data) shared(k int) *mat.SymDense {
	n := len(d.Estimates)
	z := mat.NewSymDense(n, nil)
	for i, g := range d.Groupings[k] {
		for j := i; j < n; j++ {
			if d.Groupings[k][j] == g {
				z.SetSym(i, j, 1)
			}
		}
	}
	return z
}
