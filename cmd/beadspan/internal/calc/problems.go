package calc

import (
	"fmt"

	"beadspan/study"
)

// MaxProblems is how many problems of a file are told one by one; the rest is
// only counted.
const MaxProblems = 1000

// problemList collects what is wrong with a file, in bounded memory.
type problemList struct {
	file   string
	told   study.Problems
	untold int
}

func (l *problemList) add(row int, column, got, want string) {
	if len(l.told) == MaxProblems {
		l.untold++
		return
	}
	l.told = append(l.told, study.Problem{File: l.file, Row: row, Column: column, Got: shortened(got), Want: want})
}

func (l *problemList) orNil() error {
	if l.untold > 0 {
		return append(l.told, study.Problem{Want: fmt.Sprintf("and %d more problems", l.untold)})
	}
	return l.told.OrNil()
}

// shortened cuts what stands in a cell to what fits a line.
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
