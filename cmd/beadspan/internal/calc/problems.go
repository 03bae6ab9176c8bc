package calc

import "beadspan/study"

// problemList collects what is wrong with a file.
type problemList struct {
	file string
	list study.ProblemList
}

func (l *problemList) add(row int, column, got, want string) {
	l.list.Add(study.Problem{File: l.file, Row: row, Column: column, Got: got, Want: want})
}

func (l *problemList) orNil() error { return l.list.Problems().OrNil() }
