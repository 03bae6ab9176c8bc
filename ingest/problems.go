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
	tally  tally
}

func (l *problemList) add(p study.Problem) {
	l.tally.count(p)
	if l.full() {
		l.untold++
		return
	}
	p.Got = shortened(p.Got)
	l.told = append(l.told, p)
}

func (l *problemList) full() bool { return len(l.told) == MaxProblems }

// orNil returns the list as an error, or nil if nothing is wrong. Behind the
// problems stands how many were left out, and in short what a long list is
// about.
func (l *problemList) orNil() error {
	all := l.told
	if l.untold > 0 {
		all = append(all, study.Problem{Want: fmt.Sprintf("and %d more problems", l.untold)})
	}
	return append(all, l.tally.summary()...).OrNil()
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
