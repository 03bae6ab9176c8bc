package ingest

import (
	"context"
	"fmt"
	"strings"
)

// table says how one of a log's tables becomes records of type T.
type table[T any] struct {
	name   string
	fields []field[T]
	// note is where the columns that nobody knows are kept.
	note func(*T) *string
}

func (t table[T]) columns() []Column {
	columns := make([]Column, len(t.fields))
	for i, f := range t.fields {
		columns[i] = f.Column
		columns[i].Table = t.name
	}
	return columns
}

// input is one table of a log, ready to be read.
type input struct {
	grid     grid
	line     line
	dates    dateReader
	progress func()
	notice   func(Notice)
}

// How large a table may be. So many rows fit a spreadsheet's sheet; so many
// columns leave room for notes beside all that have a meaning.
const (
	MaxRows    = 1_048_576
	MaxColumns = 256
)

// read hands every row to keep, as a record and as the line that it stood on.
// It reports whether the table could be read whole, so that what is not in it
// is known not to exist. The only error is that of ctx.
func (t table[T]) read(ctx context.Context, in input, keep func(*line, *T)) (whole bool, err error) {
	var bound *binding[T]
	whole = true
	l := &in.line
	rows := 0
	visit := func(row int, cells []string) bool {
		if rows++; rows%1024 == 0 {
			in.progress()
			if err = ctx.Err(); err != nil {
				return false
			}
		}
		l.start(row, cells)
		switch {
		case blank(cells):
		case bound == nil:
			bound = t.bind(l)
			whole = whole && !l.bad
			return bound != nil
		case rows > MaxRows:
			l.problemAbout("", "", fmt.Sprintf("expected no more than %d rows: split the log by year", MaxRows))
			whole = false
			return false
		default:
			var record T
			if bound.read(l, in.dates, &record) {
				keep(l, &record)
			} else {
				whole = false
			}
		}
		return true
	}
	in.grid.walk(visit, func(r refusal) {
		whole = false
		l.start(r.row, nil)
		l.problem("", r.want)
	})
	if bound == nil && whole && err == nil {
		l.start(0, nil)
		l.problem("", "it is empty: expected a row of headings")
		whole = false
	}
	if bound != nil {
		bound.notices(l.file, in.notice)
	}
	return whole && err == nil, err
}

// binding is a table's fields with the columns of one file in which they stand.
type binding[T any] struct {
	table  table[T]
	fields []boundField[T]
	extra  []extraColumn
	width  int
}

type boundField[T any] struct {
	field[T]
	at int
}

// extraColumn is a column that the format doesn't know.
type extraColumn struct {
	heading  string
	nameless bool // the heading is ours
	at       int
	cells    int // that aren't blank
}

// bind finds the table's columns in its row of headings. It returns nil when
// there are none, since then the row is no heading, and when there are too many.
// The line learns where each
// column stands.
func (t table[T]) bind(l *line) *binding[T] {
	if len(l.cells) > MaxColumns {
		l.problem("", fmt.Sprintf("the row of headings has %d cells: expected no more than %d. "+
			"Delete the columns that are no part of the log, blank ones as well", len(l.cells), MaxColumns))
		return nil
	}
	b := &binding[T]{table: t, width: len(l.cells)}
	l.columns = make(map[string]int)
	unknown := t.placeHeadings(l, b)
	if len(l.columns) == 0 {
		l.problem("", "expected a row of headings such as "+t.fields[0].Name+", "+t.fields[1].Name)
		return nil
	}
	for _, f := range t.fields {
		at, here := l.columns[f.Name]
		if here {
			b.fields = append(b.fields, boundField[T]{f, at})
		} else if f.Required {
			l.problemAbout(f.Name, "", "this column is required and missing"+nearestHeading(f.Name, unknown))
		}
	}
	return b
}

// placeHeadings sorts the headings into known and extra columns and returns
// the unknown ones.
func (t table[T]) placeHeadings(l *line, b *binding[T]) (unknown []string) {
	known := make(map[string]bool, len(t.fields))
	for _, f := range t.fields {
		known[f.Name] = true
	}
	for at, heading := range l.cells {
		name := folded(heading)
		_, twice := l.columns[name]
		switch {
		case known[name] && twice:
			l.problemAbout(name, "", "this column is there twice")
		case known[name]:
			l.columns[name] = at
		default:
			extra := extraColumn{heading: strings.TrimSpace(heading), at: at}
			if extra.heading == "" {
				extra.heading, extra.nameless = fmt.Sprintf("column %d", at+1), true
			} else {
				unknown = append(unknown, extra.heading)
			}
			b.extra = append(b.extra, extra)
		}
	}
	return unknown
}

func nearestHeading(name string, headings []string) string {
	if near, found := nearest(name, headings); found {
		return fmt.Sprintf("; did you mean it by %q?", near)
	}
	return ""
}

// read fills record from the line's cells, as far as they can be read. It
// returns false if it can't be told which cell belongs to which column.
func (b *binding[T]) read(l *line, dates dateReader, record *T) bool {
	if len(l.cells) > b.width {
		l.problem("", fmt.Sprintf("the row has %d cells and there are %d headings: "+
			"a column needs a heading, and a cell that holds the separator needs quotation marks", len(l.cells), b.width))
		return false
	}
	for i := range b.fields {
		f := &b.fields[i]
		text := l.at(f.at)
		if text == "" {
			if f.Required {
				l.problem(f.Name, "expected something here"+forExample(f.Column))
			}
			continue
		}
		if want := f.read(record, text, dates); want != "" {
			l.problem(f.Name, want)
		}
	}
	b.keepExtra(l, b.table.note(record))
	return true
}

// keepExtra adds what stands in the extra columns to the record's note.
func (b *binding[T]) keepExtra(l *line, note *string) {
	var kept []string
	if *note != "" {
		kept = append(kept, *note)
	}
	for i := range b.extra {
		e := &b.extra[i]
		if text := l.at(e.at); text != "" {
			e.cells++
			kept = append(kept, e.heading+": "+text)
		}
	}
	*note = strings.Join(kept, "; ")
}

func forExample(c Column) string {
	if len(c.Allowed) > 0 && len(c.Allowed) <= 12 {
		return ": one of " + strings.Join(c.Allowed, ", ")
	}
	return ", such as " + c.Example
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// folded is how a heading or a word is compared: without case, with spaces
// and dashes as underscores.
func folded(text string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '\u00a0' {
			return '_'
		}
		return r
	}, strings.ToLower(strings.TrimSpace(text)))
}
