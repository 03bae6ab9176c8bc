package calc

import (
	"fmt"
	"slices"
	"strings"
)

// Condition keeps the rows that hold a value in a column.
type Condition struct{ Column, Value string }

// ParseCondition reads a condition written as COLUMN=VALUE.
func ParseCondition(text string) (Condition, error) {
	column, value, found := strings.Cut(text, "=")
	column = strings.TrimSpace(column)
	if !found || column == "" {
		return Condition{}, fmt.Errorf("%q is not a condition: write COLUMN=VALUE, as in group=6-MP", text)
	}
	return Condition{column, strings.TrimSpace(value)}, nil
}

// holds reports whether a cell has the condition's value, as text or as a
// number: 1 is also 1.0.
func (c Condition) holds(cell string) bool {
	if cell == c.Value {
		return true
	}
	want, isNumber := parseNumber(c.Value)
	got, alike := parseNumber(cell)
	return isNumber && alike && got == want
}

// taken reports whether a row, of which cell gives the cells, meets the
// conditions: any of those that name the same column, for all such columns.
func taken(conditions []Condition, cell func(column string) string) bool {
	for _, c := range conditions {
		met := slices.ContainsFunc(conditions, func(other Condition) bool {
			return other.Column == c.Column && other.holds(cell(c.Column))
		})
		if !met {
			return false
		}
	}
	return true
}

func conditionsText(conditions []Condition) string {
	words := make([]string, len(conditions))
	for i, c := range conditions {
		words[i] = c.Column + "=" + c.Value
	}
	return strings.Join(words, ", ")
}
