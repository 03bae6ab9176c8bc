package ingest

import "beadspan/study"

// problemList collects what is wrong with a log, and counts what it is about.
type problemList struct {
	list  study.ProblemList
	tally tally
}

func (l *problemList) add(p study.Problem) {
	l.tally.count(p)
	l.list.Add(p)
}

// orNil returns the list as an error, or nil if nothing is wrong. Behind the
// problems stands in short what a long list is about.
func (l *problemList) orNil() error {
	return append(l.list.Problems(), l.tally.summary()...).OrNil()
}

// refusal says why a table, or one of its rows, cannot be read at all.
type refusal struct {
	row  int // 0: the whole table
	want string
}

func (r refusal) Error() string { return r.want }
