package ingest

import (
	"fmt"

	"beadspan/study"
)

// MaxProblems is how many problems of a log are told one by one; the rest is
// only counted.
const MaxProblems = 1000

// problemList collects what is wrong with a log, in bounded memory.
type problemList struct {
	told   study.Problems
	untold int
}

func (l *problemList) add(p study.Problem) {
	if len(l.told) == MaxProblems {
		l.untold++
		return
	}
	p.Got = shortened(p.Got)
	l.told = append(l.told, p)
}

func (l *problemList) full() bool { return len(l.told) == MaxProblems }

func (l *problemList) orNil() error {
	if l.untold > 0 {
		return append(l.told, study.Problem{Want: fmt.Sprintf("and %d more problems", l.untold)})
	}
	return l.told.OrNil()
}

// shortened cuts what stands in a cell, which may be a whole file, to what
// fits a line.
func shortened(text string) string {
	const most = 60
	letters := 0
	for i := range text {
		if letters == most {
			return text[:i] + "…"
		}
		letters++
	}
	return text
}

// refusal says why a table, or one of its rows, cannot be read at all.
type refusal struct {
	row  int // 0: the whole table
	want string
}

func (r refusal) Error() string { return r.want }
