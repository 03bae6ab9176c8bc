package check

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"
)

// Table is the data of a reference case: a CSV file with a heading.
type Table struct {
	heading []string
	rows    [][]string
}

// Len is the number of rows.
func (d Table) Len() int { return len(d.rows) }

// Text returns a column as it is written.
func (d Table) Text(t testing.TB, column string) []string {
	t.Helper()
	at := slices.Index(d.heading, column)
	if at < 0 {
		t.Fatalf("reference data: no column %q among %q", column, d.heading)
	}
	cells := make([]string, len(d.rows))
	for i, row := range d.rows {
		cells[i] = row[at]
	}
	return cells
}

// Floats returns a column of numbers; blank says what an empty cell means.
func (d Table) Floats(t testing.TB, column string, blank float64) []float64 {
	t.Helper()
	cells := d.Text(t, column)
	numbers := make([]float64, len(cells))
	for i, cell := range cells {
		if cell == "" {
			numbers[i] = blank
			continue
		}
		x, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			t.Fatalf("reference data: column %q, row %d: %q is not a number", column, i+1, cell)
		}
		numbers[i] = x
	}
	return numbers
}

// Where keeps the rows whose cells equal the wanted values: text or, as JSON
// gives them, float64.
func (d Table) Where(t testing.TB, want map[string]any) Table {
	t.Helper()
	kept := Table{heading: d.heading, rows: d.rows}
	for column, value := range want {
		cells := kept.Text(t, column)
		text := fmt.Sprint(value)
		kept = kept.keep(func(i int) bool { return cells[i] == text })
	}
	return kept
}

// Complete keeps the rows that have something in each of the columns.
func (d Table) Complete(t testing.TB, columns ...string) Table {
	t.Helper()
	kept := d
	for _, column := range columns {
		cells := kept.Text(t, column)
		kept = kept.keep(func(i int) bool { return cells[i] != "" })
	}
	return kept
}

func (d Table) keep(wanted func(row int) bool) Table {
	kept := Table{heading: d.heading}
	for i, row := range d.rows {
		if wanted(i) {
			kept.rows = append(kept.rows, row)
		}
	}
	return kept
}

func readTable(t testing.TB, path string) Table {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatalf("reference data: %v", err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("reference data %s: no table: %v", path, err)
	}
	return Table{heading: rows[0], rows: rows[1:]}
}
