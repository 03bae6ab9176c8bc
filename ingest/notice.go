package ingest

import (
	"fmt"
	"slices"
	"strings"

	"beadspan/study"
)

// Notice is something about a log that is no problem, but that those who wrote
// it may not have meant.
type Notice struct {
	File   string // file or sheet
	Column string // heading of the column
	Text   string // in plain words
}

// String puts the notice into one line.
func (n Notice) String() string {
	return fmt.Sprintf("%s, %s: %s", n.File, n.Column, n.Text)
}

// notices tells of the columns that nobody knows. A column without a heading
// is worth it only if something stands in it.
func (b *binding[T]) notices(file string, tell func(Notice)) {
	for _, e := range b.extra {
		if e.nameless && e.cells == 0 {
			continue
		}
		text := "the format has no such column: " + keptAsNotes(e.cells)
		if near, found := b.meant(e); found {
			text += fmt.Sprintf("; did you mean %s?", near)
		}
		tell(Notice{File: file, Column: study.Shortened(e.heading), Text: text})
	}
}

func keptAsNotes(cells int) string {
	switch cells {
	case 0:
		return "nothing stands in it"
	case 1:
		return "1 cell is kept as a note"
	}
	return fmt.Sprintf("%d cells are kept as notes", cells)
}

// meant finds the column, among those that the file lacks, that an unknown
// heading may stand for: one with a slip of the finger, or one that ends in a
// unit that was left out. Another number in it is no slip: angle_21_deg is not
// meant to be angle_11_deg.
func (b *binding[T]) meant(e extraColumn) (name string, found bool) {
	if e.nameless {
		return "", false
	}
	heading := folded(e.heading)
	var lacking []string
	for _, f := range b.table.fields {
		here := slices.ContainsFunc(b.fields, func(other boundField[T]) bool { return other.Name == f.Name })
		if here || numerals(f.Name) != numerals(heading) {
			continue
		}
		if strings.HasPrefix(f.Name, heading+"_") {
			return f.Name, true
		}
		lacking = append(lacking, f.Name)
	}
	return nearest(heading, lacking)
}

// numerals leaves only the digits of text.
func numerals(text string) string {
	return strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' {
			return r
		}
		return -1
	}, text)
}
