package calc

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"beadspan/stats/decay"
	"beadspan/stats/survival"
)

// line is one row of a file while it is being read.
type line struct {
	*reader
	row   int
	cells []string
	faint string // a column that is blank though it mustn't be
	bad   bool   // something is wrong and has been said
}

// row takes one row of the file.
func (r *reader) row(at int, cells []string) {
	l := &line{reader: r, row: at, cells: cells}
	if len(cells) != len(r.heading) {
		l.wrong("", "", fmt.Sprintf("expected %d cells as in the heading, got %d", len(r.heading), len(cells)))
		return
	}
	if !taken(r.columns.Where, l.cell) {
		return
	}
	r.matching++
	take, weight := l.take(), l.weight()
	for _, column := range r.columns.labels() {
		l.mustHave(column)
	}
	covariates := r.data.numbers[:0]
	for _, column := range r.columns.Covariates {
		covariates = append(covariates, l.number(column, "a number"))
	}
	r.data.numbers = covariates
	switch {
	case l.bad:
	case l.faint != "":
		r.blank[l.faint]++
	case weight == 0:
		r.blank[weightless]++
	default:
		take(weight)
		r.data.add(at, l.cell)
	}
}

// weightless stands in for a column among what rows were left out for.
const weightless = ""

// take reads the life or the reading, and returns how to take it into the data.
func (l *line) take() func(weight float64) {
	if l.columns.Value != "" {
		point := decay.Point{Time: l.time(l.columns.Time), Value: l.number(l.columns.Value, "a number")}
		return func(weight float64) {
			point.Weight = weight
			l.data.Points = append(l.data.Points, point)
		}
	}
	span := l.span()
	return func(weight float64) {
		if l.columns.Weight != "" {
			span.Weight = weight
		}
		l.data.Spans = append(l.data.Spans, span)
	}
}

// weight reads what the row counts; 1 where no column says.
func (l *line) weight() float64 {
	column := l.columns.Weight
	if column == "" {
		return 1
	}
	weight := l.number(column, "a number, 0 or more")
	if weight < 0 {
		l.wrong(column, l.cell(column), "expected a number, 0 or more")
	}
	return weight
}

// span reads when the life ended.
func (l *line) span() (s survival.Span) {
	c := l.columns
	if c.Time != "" {
		s = l.seen()
	} else {
		s = l.between()
	}
	if c.Entry != "" && l.cell(c.Entry) != "" {
		s.Entry = l.time(c.Entry)
		if l.bad {
			return s // one fault makes others
		}
		if s.Entry > s.Lower {
			l.wrong(c.Entry, l.cell(c.Entry), "lies after "+l.endColumn()+" "+cmp.Or(l.cell(l.endColumn()), "(blank)")+
				": expected the time since when it was watched")
		} else if s.Entry > 0 && s.Entry == s.Upper {
			l.wrong(c.Entry, l.cell(c.Entry), "ended when it entered: it was never watched")
		}
	}
	return s
}

// endColumn is the column that an entry must not come after.
func (l *line) endColumn() string {
	if l.columns.Time != "" {
		return l.columns.Time
	}
	return l.columns.Lower
}

// seen reads a life from when it was last seen and whether it ended then.
func (l *line) seen() survival.Span {
	time := l.time(l.columns.Time)
	switch status := l.cell(l.columns.Status); status {
	case "1":
		return survival.Exact(time)
	case "0":
		return survival.RightCensored(time)
	case "":
		l.mustHave(l.columns.Status)
	default:
		l.wrong(l.columns.Status, status, "expected 1 (it ended then) or 0 (it still held)")
	}
	return survival.RightCensored(time)
}

// between reads a life from the interval in which it ended.
func (l *line) between() survival.Span {
	lower, upper := 0.0, math.Inf(1)
	openLower, openUpper := l.cell(l.columns.Lower) == "", l.cell(l.columns.Upper) == ""
	if openLower && openUpper {
		l.faint = l.columns.Lower + " and " + l.columns.Upper
		return survival.Between(lower, upper)
	}
	if !openLower {
		lower = l.time(l.columns.Lower)
	}
	if !openUpper {
		upper = l.time(l.columns.Upper)
	}
	if lower > upper && !l.bad {
		l.wrong(l.columns.Lower, l.cell(l.columns.Lower), "lies after "+l.columns.Upper+" "+l.cell(l.columns.Upper)+
			": expected the earlier time first")
	}
	return survival.Between(lower, upper)
}

// time reads a time; 0 if there is none to read.
func (l *line) time(column string) float64 {
	t := l.number(column, "a time, 0 or more")
	if t < 0 {
		l.wrong(column, l.cell(column), "expected a time, 0 or more")
		return 0
	}
	return t
}

// number reads a number; 0 if there is none to read.
func (l *line) number(column, want string) float64 {
	text := l.cell(column)
	if text == "" {
		l.mustHave(column)
		return 0
	}
	x, ok := parseNumber(text)
	if !ok {
		l.wrong(column, text, "expected "+want+", with a decimal point, or nothing")
		return 0
	}
	return x
}

// mustHave notes a blank for which the row is left out.
func (l *line) mustHave(column string) {
	if l.faint == "" && l.cell(column) == "" {
		l.faint = column
	}
}

func (l *line) cell(column string) string {
	return strings.TrimSpace(l.cells[l.place[column]])
}

func (l *line) wrong(column, got, want string) {
	l.bad = true
	l.problems.add(l.row, column, got, want)
}
