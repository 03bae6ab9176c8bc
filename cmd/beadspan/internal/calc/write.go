package calc

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/reports"
)

// WriteJSON writes a result whole, at full precision, on one line: a curve can
// have a million steps.
func WriteJSON(w io.Writer, result any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(result); err != nil {
		return fmt.Errorf("write the result as json: %w", err)
	}
	return nil
}

// page is a result being put together for people to read.
type page struct{ strings.Builder }

// line writes a line of words.
func (p *page) line(format string, args ...any) {
	fmt.Fprintf(p, format+"\n", args...)
}

// table writes a table, its first words columns of words and all others of
// numbers, and a blank line.
func (p *page) table(words int, head []string, rows [][]string) {
	t := reports.NewTextTable()
	t.AppendHeader(cellsOf(head))
	var columns []table.ColumnConfig
	for i := range head {
		if i >= words {
			columns = append(columns, table.ColumnConfig{Number: i + 1, Align: text.AlignRight, AlignHeader: text.AlignRight})
		}
	}
	t.SetColumnConfigs(columns)
	for _, row := range rows {
		t.AppendRow(cellsOf(row))
	}
	p.WriteString(t.Render())
	p.WriteString("\n\n")
}

func cellsOf(words []string) table.Row {
	row := make(table.Row, len(words))
	for i, word := range words {
		row[i] = word
	}
	return row
}

// to writes the page, with what the result was computed from below it.
func (p *page) to(w io.Writer, s Source) error {
	for _, note := range s.Notes {
		p.line("* %s", note)
	}
	if _, err := io.WriteString(w, p.String()); err != nil {
		return fmt.Errorf("write the result: %w", err)
	}
	return nil
}

// short writes a number to six significant digits, "–" where there is none.
func short(n Number) string {
	switch x := float64(n); {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 0):
		return "∞"
	default:
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
}

// probability writes a p-value: small ones only as an order of magnitude.
func probability(p Number) string {
	switch x := float64(p); {
	case math.IsNaN(x):
		return "–"
	case x == 0: // too small for a number
		return "0"
	case x < 0.0001:
		return strconv.FormatFloat(x, 'e', 1, 64)
	default:
		return strconv.FormatFloat(x, 'f', 4, 64)
	}
}

// between writes a pair of limits.
func between(lower, upper Number) string {
	return short(lower) + " to " + short(upper)
}
