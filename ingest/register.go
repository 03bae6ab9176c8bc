package ingest

import "fmt"

// register keeps what one table defines, by code, so that others can name it.
type register[V any] struct {
	what  string // "coating"
	table string // "coatings"
	// whole is false while a code that isn't known may be missing only because
	// its table could not be read.
	whole bool
	known map[string]entry[V]
	codes []string // in the order of the table
}

type entry[V any] struct {
	value V
	row   int
}

func newRegister[V any](what, table string) *register[V] {
	return &register[V]{what: what, table: table, known: map[string]entry[V]{}}
}

// define notes what the line's code stands for. A code that is there already
// is a problem, and false is returned. A line with other problems defines its
// code as well, so that one mistake isn't told again wherever it is named.
func (r *register[V]) define(l *line, value V) bool {
	code := l.cell("code")
	if code == "" {
		return false
	}
	if first, twice := r.known[code]; twice {
		l.problem("code", fmt.Sprintf("this %s is in row %d already", r.what, first.row))
		return false
	}
	r.known[code] = entry[V]{value, l.row}
	r.codes = append(r.codes, code)
	return true
}

// know notes what a code stands for that no line defines.
func (r *register[V]) know(code string, value V) {
	r.known[code] = entry[V]{value: value}
	r.codes = append(r.codes, code)
}

// find looks up the code that stands in a column of the line.
func (r *register[V]) find(l *line, column string) (value V, found bool) {
	code := l.cell(column)
	if code == "" {
		return value, false
	}
	e, found := r.known[code]
	if !found && r.whole {
		l.problem(column, fmt.Sprintf("there is no such %s in %s%s", r.what, r.table, r.suggestion(l, code)))
	}
	return e.value, found
}

// suggestion names the nearest code, unless the problem won't be told anyway
// or so many codes would have to be gone through that it takes long.
func (r *register[V]) suggestion(l *line, code string) string {
	const most = 20_000
	if l.problems.list.Full() || len(r.codes) > most {
		return ""
	}
	if near, found := nearest(code, r.codes); found {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}
