package aft

import (
	"fmt"
	"math"
	"slices"

	"beadspan/stats/survival"
)

// Data is what a model is fitted to: spans, each with its Weight and Cluster,
// and what may explain how long they last.
type Data struct {
	Spans  []survival.Span
	Design *Design // nil: an intercept alone

	// Strata gives each span the stratum whose σ it has, from 0 on without
	// gaps; nil means one σ for all. Coefficients are common to all strata.
	Strata []int
}

// kind is what is known of a life's end.
type kind int8

const (
	exact kind = iota
	rightCensored
	leftCensored
	between
)

// observation is a span on the scale of log time.
type observation struct {
	kind    kind
	late    bool // entered late, at entry
	stratum int
	weight  float64
	entry   float64 // log of the time of entry, if late
	time    float64 // log of the lower end, of a left-censored life the upper
	width   float64 // of an interval: log(Upper/Lower)
}

// sample is Data made ready for its likelihood.
type sample struct {
	law     Distribution
	names   []string
	columns int
	strata  int
	x       []float64 // row by row
	seen    []observation
	cluster []int
	index   []int // of each row among the spans given
	counts  Counts
}

// Counts tells how many spans of each kind a model was fitted to, weights
// apart, and how many clusters.
type Counts struct {
	Spans, Exact, Right, Left, Interval, Late int
	Clusters                                  int
}

// newSample checks the data and takes logarithms.
func newSample(data Data, law Distribution) (*sample, error) {
	law.check()
	if err := survival.Validate(data.Spans); err != nil {
		return nil, err
	}
	n := len(data.Spans)
	design := data.Design
	if design == nil {
		design, _ = NewDesign(n)
	}
	if design.rows != n {
		return nil, fmt.Errorf("the design has %d rows for %d spans", design.rows, n)
	}
	strata, err := countStrata(data.Strata, n)
	if err != nil {
		return nil, err
	}
	s := &sample{law: law, names: design.names, columns: design.columns, strata: strata}
	if !law.scaled() && strata > 1 {
		return nil, fmt.Errorf("strata of σ: the %v distribution has no σ to differ", law)
	}
	clusters := map[int]bool{}
	s.seen, s.x = make([]observation, 0, n), make([]float64, 0, len(design.x))
	s.cluster, s.index = make([]int, 0, n), make([]int, 0, n)
	for i, span := range data.Spans {
		if span.Lower == 0 && span.Upper == 0 {
			return nil, &survival.SpanError{Index: i, Span: span,
				Reason: "an end at time 0 has no logarithm: say until when it may have lasted"}
		}
		s.counts.add(span)
		clusters[span.Cluster] = true
		o := observe(span)
		if data.Strata != nil {
			o.stratum = data.Strata[i]
		}
		if o.kind == rightCensored && (span.Lower == 0 || span.Lower == span.Entry) {
			continue // its likelihood is 1
		}
		s.seen = append(s.seen, o)
		s.x = append(s.x, design.row(i)...)
		s.cluster = append(s.cluster, span.Cluster)
		s.index = append(s.index, i)
	}
	s.counts.Clusters = len(clusters)
	return s, nil
}

func (c *Counts) add(span survival.Span) {
	c.Spans++
	if span.Entry > 0 {
		c.Late++
	}
	switch {
	case span.Lower == span.Upper:
		c.Exact++
	case math.IsInf(span.Upper, 1):
		c.Right++
	case span.Lower == 0:
		c.Left++
	default:
		c.Interval++
	}
}

func observe(span survival.Span) observation {
	o := observation{weight: span.Lives(), time: math.Log(span.Lower)}
	if span.Entry > 0 {
		o.late, o.entry = true, math.Log(span.Entry)
	}
	switch {
	case span.Lower == span.Upper:
		o.kind = exact
	case math.IsInf(span.Upper, 1):
		o.kind = rightCensored
	case span.Lower == 0:
		o.kind, o.time = leftCensored, math.Log(span.Upper)
	default:
		o.kind = between
		o.width = math.Log(span.Upper) - o.time
		if span.Upper < 2*span.Lower { // keeps its digits where the interval is narrow
			o.width = math.Log1p((span.Upper - span.Lower) / span.Lower)
		}
	}
	return o
}

// countStrata returns how many strata there are.
func countStrata(strata []int, n int) (int, error) {
	if strata == nil {
		return 1, nil
	}
	if len(strata) != n {
		return 0, fmt.Errorf("there are %d strata for %d spans", len(strata), n)
	}
	found := slices.Compact(slices.Sorted(slices.Values(strata)))
	for i, k := range found {
		if k != i {
			return 0, fmt.Errorf("strata must be numbered from 0 without gaps: there is a %d but no %d", k, i)
		}
	}
	return len(found), nil
}

func (s *sample) row(i int) []float64 { return s.x[i*s.columns : (i+1)*s.columns] }

// scales is how many log σ are estimated.
func (s *sample) scales() int {
	if s.law.scaled() {
		return s.strata
	}
	return 0
}

// parameters is how many there are: coefficients, then log σ.
func (s *sample) parameters() int { return s.columns + s.scales() }
