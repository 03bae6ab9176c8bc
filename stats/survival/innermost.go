package survival

import (
	"cmp"
	"slices"
	"sort"
)

// Interval is one of the innermost intervals: the only places where an
// estimate from censored spans can put mass. It is (Lower, Upper], or the
// single point Upper where Exact.
type Interval struct {
	Lower, Upper float64 // Upper is +Inf for mass beyond the last sight of anything
	Exact        bool
	Mass         float64 // estimated probability that a life ends here
	After        float64 // S at Upper: what is left after this interval
}

// before reports whether the interval lies wholly at or before time t.
func (v Interval) before(t float64) bool { return v.Upper <= t }

// startsFrom reports whether the interval lies wholly after time t.
func (v Interval) startsFrom(t float64) bool {
	return v.Lower > t || (v.Lower == t && !v.Exact)
}

// kind orders the ends that lie at one time: a point's left end comes first, so
// that the point belongs to what ends there; an open left end comes last, so
// that nothing at its own time belongs to it.
type kind int8

const (
	pointLeft kind = iota
	right
	openLeft
)

type boundary struct {
	time float64
	kind kind
}

// innermost finds the innermost intervals: every left end of a span that is
// directly followed by a right end. The entry of a late entrant acts as a right
// end: to the right of it mass costs more, since it then has to be shared with
// that entrant, so mass stays to the left where it can (Frydman 1994).
func innermost(spans []Span) []Interval {
	ends := make([]boundary, 0, 2*len(spans))
	for _, s := range spans {
		if s.exact() {
			ends = append(ends, boundary{s.Lower, pointLeft})
		} else {
			ends = append(ends, boundary{s.Lower, openLeft})
		}
		ends = append(ends, boundary{s.Upper, right})
		if s.Entry > 0 {
			ends = append(ends, boundary{s.Entry, right})
		}
	}
	slices.SortFunc(ends, func(a, b boundary) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.kind, b.kind))
	})
	var found []Interval
	for i := 1; i < len(ends); i++ {
		if l, r := ends[i-1], ends[i]; l.kind != right && r.kind == right {
			found = append(found, Interval{Lower: l.time, Upper: r.time, Exact: l.kind == pointLeft})
		}
	}
	return found
}

// row is what spans with the same view of the innermost intervals say, as
// positions among them: at risk from entry, holding through first-1, ended
// within first…last.
type row struct {
	entry, first, last int
	weight             float64 // number of such lives
}

// rowsOf tells each span in terms of the innermost intervals and joins equal
// rows.
func rowsOf(spans []Span, intervals []Interval) []row {
	rows := make([]row, len(spans))
	for i, s := range spans {
		r := row{weight: s.Lives()}
		if s.Entry > 0 {
			r.entry = firstFrom(intervals, s.Entry)
		}
		if s.exact() {
			r.first = sort.Search(len(intervals), func(j int) bool { return intervals[j].Lower >= s.Lower })
		} else {
			r.first = firstFrom(intervals, s.Lower)
		}
		r.last = sort.Search(len(intervals), func(j int) bool { return !intervals[j].before(s.Upper) }) - 1
		rows[i] = r
	}
	slices.SortFunc(rows, func(a, b row) int {
		return cmp.Or(cmp.Compare(a.last, b.last), cmp.Compare(a.first, b.first), cmp.Compare(a.entry, b.entry))
	})
	joined := rows[:1]
	for _, r := range rows[1:] {
		if p := &joined[len(joined)-1]; p.entry == r.entry && p.first == r.first && p.last == r.last {
			p.weight += r.weight
		} else {
			joined = append(joined, r)
		}
	}
	return joined
}

// firstFrom is the position of the first interval wholly after time t.
func firstFrom(intervals []Interval, t float64) int {
	return sort.Search(len(intervals), func(j int) bool { return intervals[j].startsFrom(t) })
}

// telling drops the spans that say nothing.
func telling(spans []Span) []Span {
	if !slices.ContainsFunc(spans, Span.saysNothing) {
		return spans
	}
	return slices.DeleteFunc(slices.Clone(spans), Span.saysNothing)
}
