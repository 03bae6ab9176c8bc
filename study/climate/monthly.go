package climate

import (
	"fmt"
	"math"
	"slices"
)

// Monthly holds a value for each month, January first.
type Monthly [12]float64

// MonthlyOf makes a Monthly of twelve values, or nil of none.
//
// It panics at any other number: Site.Validate lets none through.
func MonthlyOf(values []float64) *Monthly {
	if len(values) == 0 {
		return nil
	}
	if len(values) != 12 {
		panic(fmt.Sprintf("climate: %d values for the months of a year", len(values)))
	}
	return (*Monthly)(slices.Clone(values))
}

// Slice returns the values as a slice, nil of a nil m.
func (m *Monthly) Slice() []float64 {
	if m == nil {
		return nil
	}
	return slices.Clone(m[:])
}

// Sum adds up the months.
func (m Monthly) Sum() float64 {
	sum := 0.0
	for _, x := range m {
		sum += x
	}
	return sum
}

// Mean averages the months, each alike.
func (m Monthly) Mean() float64 { return m.Sum() / 12 }

// each returns the months after f.
func (m Monthly) each(f func(month int, x float64) float64) Monthly {
	for i, x := range m {
		m[i] = f(i, x)
	}
	return m
}

// over lists the values of the given months, counted from 0.
func (m Monthly) over(months []int) []float64 {
	values := make([]float64, len(months))
	for i, month := range months {
		values[i] = m[month]
	}
	return values
}

func (m Monthly) finite() bool {
	return !slices.ContainsFunc(m[:], func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}

// monthNames are the English abbreviations.
func monthNames() [12]string {
	return [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}
}

// monthDays are the lengths of the months of a year of 365 days.
func monthDays() [12]int {
	return [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
}
