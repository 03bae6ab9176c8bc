package aft

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// InterceptName is the name of the first column of every design.
const InterceptName = "(Intercept)"

// Design is the matrix X of covariates: a row for each span, an intercept and
// then the columns of its terms.
type Design struct {
	terms   []Term
	names   []string
	columns int
	rows    int
	x       []float64 // row by row
}

// Term is a covariate: Numeric or Factor makes one.
type Term struct {
	name    string
	numbers []float64
	labels  []string
	levels  []string // of a factor, the first is what the others are compared with
}

// Numeric is a covariate that enters as it is: one column of its name.
func Numeric(name string, numbers []float64) Term {
	return Term{name: name, numbers: numbers}
}

// Factor is a covariate of labels, coded by treatment contrasts: a column of
// zeros and ones for each level but the first, named "name=level". Its
// coefficient is how far log life at that level lies above that at the first.
// levels gives the order; without it the labels found are taken as sorted.
func Factor(name string, labels []string, levels ...string) Term {
	if len(levels) == 0 {
		levels = slices.Compact(slices.Sorted(slices.Values(labels)))
	}
	return Term{name: name, labels: labels, levels: levels}
}

// NewDesign builds the design of n spans.
//
// A term of another length, a number that is not finite, a label that is no
// level, a level twice, a name used twice: each is an error that names the term
// and the row, counted from 0.
func NewDesign(n int, terms ...Term) (*Design, error) {
	d := &Design{terms: terms, names: []string{InterceptName}, rows: n}
	for _, t := range terms {
		if err := t.check(n); err != nil {
			return nil, fmt.Errorf("design: term %q: %w", t.name, err)
		}
		d.names = append(d.names, t.columns()...)
	}
	sorted := slices.Sorted(slices.Values(d.names))
	for i := range sorted[1:] {
		if sorted[i] == sorted[i+1] {
			return nil, fmt.Errorf("design: column %q: there are two of that name", sorted[i])
		}
	}
	d.columns = len(d.names)
	d.x = make([]float64, n*d.columns)
	for i := range n {
		row := d.row(i)
		row[0] = 1
		at := 1
		for _, t := range terms {
			at += t.fill(row[at:], i)
		}
	}
	return d, nil
}

// Names returns the names of the columns, the intercept's first.
func (d *Design) Names() []string { return slices.Clone(d.names) }

// Values is a covariate's value by its term's name: a float64 for a Numeric, a
// string for a Factor.
type Values map[string]any

// Row returns the row of X of a life with these values, to predict for. Every
// term needs its value, and nothing else may have one.
func (d *Design) Row(values Values) ([]float64, error) {
	row := make([]float64, d.columns)
	row[0] = 1
	at := 1
	for _, t := range d.terms {
		value, given := values[t.name]
		if !given {
			return nil, fmt.Errorf("design row: no value for term %q", t.name)
		}
		one, err := t.single(value)
		if err != nil {
			return nil, fmt.Errorf("design row: term %q: %w", t.name, err)
		}
		at += one.fill(row[at:], 0)
	}
	if len(values) > len(d.terms) {
		for name := range values {
			if !slices.ContainsFunc(d.terms, func(t Term) bool { return t.name == name }) {
				return nil, fmt.Errorf("design row: no term %q", name)
			}
		}
	}
	return row, nil
}

func (d *Design) row(i int) []float64 { return d.x[i*d.columns : (i+1)*d.columns] }

// factor reports whether the term has levels.
func (t Term) factor() bool { return len(t.levels) > 0 || t.labels != nil }

// single is the term with one value.
func (t Term) single(value any) (Term, error) {
	one := Term{name: t.name, levels: t.levels}
	switch v := value.(type) {
	case float64:
		if t.factor() {
			return one, fmt.Errorf("want one of the levels %s, got the number %v", strings.Join(t.levels, ", "), v)
		}
		one.numbers = []float64{v}
	case string:
		if !t.factor() {
			return one, fmt.Errorf("want a number, got %q", v)
		}
		one.labels = []string{v}
	default:
		return one, fmt.Errorf("want a float64 or a string, got a %T", value)
	}
	return one, one.check(1)
}

func (t Term) check(n int) error {
	if len(t.numbers)+len(t.labels) != n {
		return fmt.Errorf("it has %d values for %d spans", len(t.numbers)+len(t.labels), n)
	}
	for i, x := range t.numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("row %d: %v is not a finite number", i, x)
		}
	}
	for i, level := range t.levels {
		if slices.Contains(t.levels[:i], level) {
			return fmt.Errorf("level %q: it is listed twice", level)
		}
	}
	for i, label := range t.labels {
		if !slices.Contains(t.levels, label) {
			return fmt.Errorf("row %d: %q is not among the levels %s", i, label, strings.Join(t.levels, ", "))
		}
	}
	return nil
}

func (t Term) columns() []string {
	if !t.factor() {
		return []string{t.name}
	}
	var names []string
	for _, level := range t.levels[min(1, len(t.levels)):] {
		names = append(names, t.name+"="+level)
	}
	return names
}

// fill writes row i of the term's columns and returns how many they are.
func (t Term) fill(row []float64, i int) int {
	if !t.factor() {
		row[0] = t.numbers[i]
		return 1
	}
	for k, level := range t.levels[min(1, len(t.levels)):] {
		if t.labels[i] == level {
			row[k] = 1
		}
	}
	return max(0, len(t.levels)-1)
}
