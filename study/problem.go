package study

import (
	"fmt"
	"strings"
)

// Problem is one thing wrong with what somebody handed in: where it is, what
// stands there, and what was expected instead.
type Problem struct {
	File   string // file or sheet; empty for a form
	Row    int    // line of the file, its heading being row 1; 0 when the whole file is meant
	Column string // heading of the column, or name of the field; empty when the whole row is meant
	Got    string // what stands there, as written; empty when nothing does
	Want   string // what was expected, or what is wrong, in plain words
}

// String puts the problem into one line.
func (p Problem) String() string {
	var where []string
	if p.File != "" {
		where = append(where, p.File)
	}
	if p.Row > 0 {
		where = append(where, fmt.Sprintf("row %d", p.Row))
	}
	if p.Column != "" {
		where = append(where, p.Column)
	}
	text := strings.Join(where, ", ")
	if text != "" {
		text += ": "
	}
	if p.Got != "" {
		text += fmt.Sprintf("%q: ", p.Got)
	}
	return text + p.Want
}

// Problems is everything wrong with one thing handed in. As an error it says
// all of it, a line each.
type Problems []Problem

// Error lists the problems, a line each.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// OrNil returns ps as an error, or nil when there is no problem.
func (ps Problems) OrNil() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

func (ps *Problems) add(column, got, want string) {
	*ps = append(*ps, Problem{Column: column, Got: got, Want: want})
}
