package mixed

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Row is one observation of a linear mixed model.
type Row struct {
	Value float64 // y

	// Weight is greater than 0: the variance of the error is σ²/Weight.
	Weight float64

	// Fixed has the value of each fixed column; a 1 for the intercept is one
	// of them.
	Fixed []float64

	// Outer and Inner number the groups that the row belongs to. Inner counts
	// anew in each outer group and is read only if there are two levels.
	Outer, Inner int

	// OuterRandom and InnerRandom have the value of each random column of a
	// level: what the group's random effects are multiplied by.
	OuterRandom, InnerRandom []float64
}

// ErrTooFew means that there are fewer rows or groups than the quantities to
// be estimated need.
var ErrTooFew = errors.New("too few readings")

// ErrNotIdentified means that the rows do not tell two quantities apart, so
// that no number of iterations would.
var ErrNotIdentified = errors.New("not told apart by the data")

// RowError is a row or reading that cannot be used.
type RowError struct {
	Index   int    // its place among the rows, from 0
	Problem string // what is wrong with it
}

// Error names the row by its place, counted from 0.
func (e *RowError) Error() string { return fmt.Sprintf("row %d: %s", e.Index, e.Problem) }

// check returns a *RowError if the row at a place is of no use to a model.
func (r Row) check(at int, model LinearModel) error {
	inner := r.InnerRandom
	if len(model.Levels) < 2 {
		inner = nil
	}
	problem := ""
	switch {
	case !finite(r.Value):
		problem = fmt.Sprintf("value %g is not a finite number", r.Value)
	case !finite(r.Weight) || r.Weight <= 0:
		problem = fmt.Sprintf("weight %g is not greater than 0 and finite", r.Weight)
	case !slices.ContainsFunc([][]float64{r.Fixed, r.OuterRandom, inner}, hasOdd):
		return nil
	default:
		problem = "a value of a column is not a finite number"
	}
	return &RowError{Index: at, Problem: problem}
}

func hasOdd(numbers []float64) bool {
	return slices.ContainsFunc(numbers, func(x float64) bool { return !finite(x) })
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
