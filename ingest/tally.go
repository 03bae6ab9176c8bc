package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"beadspan/study"
)

// tally counts the problems of a log that are alike, told or not, so that many
// rows with one fault don't hide the others. Its zero value has counted none.
type tally struct {
	places map[likeness]int // in groups
	groups []alike
}

// likeness is what problems of one group share.
type likeness struct{ file, column, kind string }

// alike is a group of problems.
type alike struct {
	first study.Problem
	n     int
}

func (t *tally) count(p study.Problem) {
	key := likeness{p.File, p.Column, kindOf(p.Want)}
	at, known := t.places[key]
	if !known {
		if t.places == nil {
			t.places = map[likeness]int{}
		}
		at = len(t.groups)
		t.places[key] = at
		t.groups = append(t.groups, alike{first: p})
	}
	t.groups[at].n++
}

// kindOf is the beginning of what was expected, which is the same for faults
// of one kind: what comes after the fourth word, a digit or a quotation mark
// may be about one row alone.
func kindOf(want string) string {
	words := 0
	for i := range len(want) {
		switch c := want[i]; {
		case c == ' ':
			words++
		case c == '"', '0' <= c && c <= '9':
			return want[:i]
		}
		if words == 4 {
			return want[:i]
		}
	}
	return want
}

// summary says in a few lines, as if each were a problem, where how many
// problems are: the largest group first. A list without a large group needs
// none.
func (t *tally) summary() study.Problems {
	const (
		many = 20 // alike, so that they fill a screen
		most = 20 // lines
	)
	groups := slices.Clone(t.groups)
	slices.SortStableFunc(groups, func(a, b alike) int { return cmp.Compare(b.n, a.n) })
	if len(groups) == 0 || groups[0].n <= many {
		return nil
	}
	lines := study.Problems{{Want: "in short:"}}
	for i, g := range groups {
		if i == most {
			lines = append(lines, study.Problem{Want: fmt.Sprintf("and %d more kinds of problem", len(groups)-most)})
			break
		}
		lines = append(lines, study.Problem{File: g.first.File, Row: g.first.Row, Column: g.first.Column, Want: g.words()})
	}
	return lines
}

func (g alike) words() string {
	want, _, _ := strings.Cut(g.first.Want, "; ") // hints come behind it, for the one row
	want = study.Shortened(want)
	if g.n == 1 {
		return "1 problem: " + want
	}
	return fmt.Sprintf("%d problems, this the first: %s", g.n, want)
}
