package calc

import (
	"cmp"
	"slices"
	"strings"
)

// Labels sorts the rows of a file by the words in some of its columns.
type Labels struct {
	Columns []string
	Names   []string // each combination of words that occurs, in order
	Of      []int    // of each row, the position of its combination in Names

	words [][]string // of each name, by column
	known map[string]int
	row   []string // words of the row at hand
}

func newLabels(columns []string) *Labels {
	if len(columns) == 0 {
		return nil
	}
	return &Labels{Columns: columns, known: map[string]int{}}
}

// add takes the words of one more row.
func (l *Labels) add(cell func(column string) string) {
	l.row = l.row[:0]
	for _, column := range l.Columns {
		l.row = append(l.row, cell(column))
	}
	key := strings.Join(l.row, "\x1f")
	at, known := l.known[key]
	if !known {
		at = len(l.words)
		words := make([]string, len(l.row))
		for i, word := range l.row {
			words[i] = strings.Clone(word) // not to hold on to the whole row
		}
		l.known[strings.Clone(key)] = at
		l.words = append(l.words, words)
	}
	l.Of = append(l.Of, at)
}

// sort brings the combinations in order, column by column: by number where all
// that stands in a column are numbers, else by letter.
func (l *Labels) sort() {
	order := make([]int, len(l.words))
	for i := range order {
		order[i] = i
	}
	compare := make([]func(a, b string) int, len(l.Columns))
	for c := range compare {
		compare[c] = cmp.Compare[string]
		if l.allNumbers(c) {
			compare[c] = compareNumbers
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		for c := range l.Columns {
			if by := compare[c](l.words[a][c], l.words[b][c]); by != 0 {
				return by
			}
		}
		return 0
	})
	place, words := make([]int, len(order)), make([][]string, len(order))
	l.Names = make([]string, len(order))
	for to, from := range order {
		place[from], words[to] = to, l.words[from]
		l.Names[to] = strings.Join(l.words[from], ", ")
	}
	for i, at := range l.Of {
		l.Of[i] = place[at]
	}
	l.words, l.known = words, nil
}

func (l *Labels) allNumbers(column int) bool {
	for _, words := range l.words {
		if _, is := parseNumber(words[column]); !is {
			return false
		}
	}
	return true
}

func compareNumbers(a, b string) int {
	x, _ := parseNumber(a)
	y, _ := parseNumber(b)
	return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
}

// split sorts things, one of each row, by label. Without labels all are in one.
func split[T any](l *Labels, things []T) [][]T {
	if l == nil {
		return [][]T{things}
	}
	parts := make([][]T, len(l.Names))
	for i, thing := range things {
		parts[l.Of[i]] = append(parts[l.Of[i]], thing)
	}
	return parts
}
