package ingest

import (
	"slices"
	"strings"

	"beadspan/study"
)

// line is one row of a table while it is read: where it stands, what stands
// in it, and whether anything is wrong with it.
type line struct {
	problems *problemList
	file     string
	row      int
	cells    []string
	columns  map[string]int // where each known column stands

	bad   bool     // something is wrong with the row
	wrong []string // the columns in which something is wrong
}

func (l *line) start(row int, cells []string) {
	l.row, l.cells = row, cells
	l.bad, l.wrong = false, l.wrong[:0]
}

// at returns what stands in the i-th cell.
func (l *line) at(i int) string {
	if i >= len(l.cells) {
		return "" // rows may stop early where the rest is blank
	}
	return strings.TrimSpace(l.cells[i])
}

// cell returns what stands in a column; empty when the file doesn't have it.
func (l *line) cell(column string) string {
	i, here := l.columns[column]
	if !here {
		return ""
	}
	return l.at(i)
}

// problem adds a problem with what stands in a column, or with the whole row
// if column is empty.
func (l *line) problem(column, want string) {
	l.problemAbout(column, l.cell(column), want)
}

func (l *line) problemAbout(column, got, want string) {
	l.bad = true
	l.wrong = append(l.wrong, column)
	l.problems.add(study.Problem{File: l.file, Row: l.row, Column: column, Got: got, Want: want})
}

// check adds what study finds wrong with the record, except where something
// is known to be wrong already: a cell that could not be read is missing from
// the record, and should not be called missing as well.
func (l *line) check(found study.Problems) {
	already := l.bad
	for _, p := range found {
		if (p.Column == "" && already) || slices.Contains(l.wrong, p.Column) {
			continue
		}
		l.problem(p.Column, p.Want)
	}
}
