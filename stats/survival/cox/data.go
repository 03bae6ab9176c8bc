package cox

import (
	"errors"
	"fmt"
	"math"
)

// Data holds n rows of p covariates. Row i was watched on (Start, Stop], open
// at Start and closed at Stop; if Event, the life ended at Stop. All slices but
// X have length n, or are nil where that means something.
type Data struct {
	Covariates int       // p, may be 0
	X          []float64 // n × p, row after row: covariate j of row i is X[i*p+j]
	Names      []string  // of the p covariates, for Notes; nil: x1, x2, …

	Start   []float64 // -Inf or nil: watched since before any other time
	Stop    []float64 // any unit and origin
	Event   []bool
	Weight  []float64 // how many such rows one stands for; nil: 1 each. Rows of weight 0 are passed over
	Stratum []int     // rows are compared within a stratum only; nil: all in stratum 0
	Cluster []int     // rows that are not independent share one; nil: no robust errors
}

// ErrNoRows is returned where no row was watched for any time with a weight
// above 0.
var ErrNoRows = errors.New("no rows")

// ErrShape is returned where the slices of Data do not fit one another.
var ErrShape = errors.New("lengths do not fit")

// RowError says which row makes no sense.
type RowError struct {
	Row    int // in the data given, from 0
	Reason string
}

// Error names the row and what is wrong with it.
func (e *RowError) Error() string { return fmt.Sprintf("row %d: %s", e.Row, e.Reason) }

// validate returns ErrShape, or a *RowError for the first impossible row.
func (d *Data) validate() error {
	n := len(d.Stop)
	if d.Covariates < 0 || len(d.X) != n*d.Covariates {
		return fmt.Errorf("%w: %d numbers in X for %d rows of %d covariates", ErrShape, len(d.X), n, d.Covariates)
	}
	if d.Names != nil && len(d.Names) != d.Covariates {
		return fmt.Errorf("%w: %d names for %d covariates", ErrShape, len(d.Names), d.Covariates)
	}
	for _, c := range []struct {
		name   string
		length int
		absent bool
	}{
		{"Event", len(d.Event), false},
		{"Start", len(d.Start), d.Start == nil},
		{"Weight", len(d.Weight), d.Weight == nil},
		{"Stratum", len(d.Stratum), d.Stratum == nil},
		{"Cluster", len(d.Cluster), d.Cluster == nil},
	} {
		if !c.absent && c.length != n {
			return fmt.Errorf("%w: %s has %d of %d rows", ErrShape, c.name, c.length, n)
		}
	}
	for i := range n {
		if reason := d.problem(i); reason != "" {
			return &RowError{Row: i, Reason: reason}
		}
	}
	for at, x := range d.X {
		if !finite(x) {
			return &RowError{Row: at / d.Covariates,
				Reason: fmt.Sprintf("covariate %s must be a finite number, got %v", d.name(at%d.Covariates), x)}
		}
	}
	return nil
}

func finite(x float64) bool { return x-x == 0 }

// problem says what is wrong with the times or the weight of row i, "" if
// nothing is.
func (d *Data) problem(i int) string {
	if t := d.Stop[i]; !finite(t) {
		return fmt.Sprintf("stop must be a finite number, got %v", t)
	}
	if t := d.start(i); math.IsNaN(t) || math.IsInf(t, 1) {
		return fmt.Sprintf("start must be a finite number or -Inf, got %v", t)
	}
	if d.start(i) > d.Stop[i] {
		return fmt.Sprintf("starts at %v, after it stops at %v", d.start(i), d.Stop[i])
	}
	if d.Event[i] && d.start(i) == d.Stop[i] {
		return fmt.Sprintf("the life ended at %v without having been watched before", d.Stop[i])
	}
	if w := d.weight(i); !finite(w) || w < 0 {
		return fmt.Sprintf("weight must be finite and not negative, got %v", w)
	}
	return ""
}

// tells reports whether row i was ever at risk with any weight.
func (d *Data) tells(i int) bool { return d.weight(i) > 0 && d.start(i) < d.Stop[i] }

func (d *Data) start(i int) float64 {
	if d.Start == nil {
		return math.Inf(-1)
	}
	return d.Start[i]
}

func (d *Data) weight(i int) float64 {
	if d.Weight == nil {
		return 1
	}
	return d.Weight[i]
}

func (d *Data) stratum(i int) int {
	if d.Stratum == nil {
		return 0
	}
	return d.Stratum[i]
}

// name is how Notes call covariate j.
func (d *Data) name(j int) string {
	if d.Names == nil {
		return fmt.Sprintf("x%d", j+1)
	}
	return d.Names[j]
}
