package ingest

import (
	"fmt"
	"strings"

	"beadspan/study"
)

// Warning is a row of a log that leaves common practice.
type Warning struct {
	File string // file or sheet
	Row  int    // line of the file, its heading being row 1
	study.Warning
}

func (r *reader) warn(l *line, found []study.Warning) {
	for _, w := range found {
		r.warning(Warning{l.file, l.row, w})
	}
}

// WarningGroup is all warnings of a log that have the same reason.
type WarningGroup struct {
	File   string `json:"file"`
	Column string `json:"column"`
	N      int    `json:"n_rows"`
	// Rows are the first rows, at most MostWarningRows.
	Rows  []int  `json:"rows"`
	First string `json:"first"` // what is recorded in the first row
	Why   string `json:"why"`
}

// MostWarningRows is how many rows a group names.
const MostWarningRows = 10

// WarningGroups gathers warnings by their reason, in the order in which each
// reason came up first. However large a log is, there are few reasons.
type WarningGroups []WarningGroup

// Add adds a warning to its group.
func (g *WarningGroups) Add(w Warning) {
	for i := range *g {
		group := &(*g)[i]
		if group.File == w.File && group.Column == w.Column && group.Why == w.Why {
			group.N++
			if len(group.Rows) < MostWarningRows {
				group.Rows = append(group.Rows, w.Row)
			}
			return
		}
	}
	*g = append(*g, WarningGroup{w.File, w.Column, 1, []int{w.Row}, w.What, w.Why})
}

// String puts the group into one line.
func (g WarningGroup) String() string {
	rows := make([]string, len(g.Rows))
	for i, row := range g.Rows {
		rows[i] = fmt.Sprint(row)
	}
	if g.N == 1 {
		return fmt.Sprintf("%s, row %s, %s: %s: %s", g.File, rows[0], g.Column, g.First, g.Why)
	}
	more := ""
	if g.N > len(rows) {
		more = ", …"
	}
	return fmt.Sprintf("%s, %s: %d rows (%s%s), the first %s: %s", g.File, g.Column, g.N, strings.Join(rows, ", "), more, g.First, g.Why)
}
