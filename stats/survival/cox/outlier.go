package cox

import (
	"fmt"
	"math"
)

// OutlierError says which value of a covariate lies so far from the others that
// the best fit would give the rows hazards further apart than e⁷⁰⁰, beyond what
// floats hold. It is often a slip of the pen.
type OutlierError struct {
	Row       int // in the data
	Covariate int
	Name      string
	Value     float64
}

// Error names the value and what to do about it.
func (e *OutlierError) Error() string {
	return fmt.Sprintf("row %d: %s is %v, so far from the others that hazards spread beyond e^700: check it, or take logarithms of the covariate",
		e.Row, e.Name, e.Value)
}

// outlier finds the largest part that a covariate of a row has in what spreads
// the linear predictors at β. Name and Value are left to who has the data.
func (l *likelihood) outlier(beta []float64) *OutlierError {
	worst, most := &OutlierError{}, math.Inf(-1)
	for k, row := range l.row {
		for j, z := range l.zOf(k) {
			if part := math.Abs(beta[j] * z); part > most {
				worst.Row, worst.Covariate, most = row, l.columns[j], part
			}
		}
	}
	return worst
}
