package study

import "fmt"

// MaxProblems is how many problems of what was handed in are told one by one;
// the rest is only counted.
const MaxProblems = 1000

// ProblemList collects what is wrong with a file, in bounded memory. The zero
// value is an empty list.
type ProblemList struct {
	told   Problems
	untold int
}

// Add adds a problem, or counts it once the list is full.
func (l *ProblemList) Add(p Problem) {
	if l.Full() {
		l.untold++
		return
	}
	p.Got = Shortened(p.Got)
	l.told = append(l.told, p)
}

// Full reports whether further problems will only be counted.
func (l *ProblemList) Full() bool { return len(l.told) == MaxProblems }

// Problems returns the problems and, where some were only counted, a last one
// that says how many.
func (l *ProblemList) Problems() Problems {
	if l.untold > 0 {
		return append(l.told, Problem{Want: fmt.Sprintf("and %d more problems", l.untold)})
	}
	return l.told
}

// Shortened cuts what stands in a cell, which may be a whole file, to what fits
// a line.
func Shortened(text string) string {
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
