package pooled

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"beadspan/stats/survival"
)

// Data are the lives of a table.
type Data struct {
	Lives []Life
	// Covariates names what else bears on a life.
	Covariates []string
}

// Life is one life: its span, whose Cluster says which lives share their
// circumstances, the cell of the table that it belongs to, and its covariates.
// Medians are those of a life whose covariates are the means of all.
type Life struct {
	Span        survival.Span
	Kind, Place string
	Covariates  []float64
}

// A cell estimates its own median from this many ended lives, and clusters with
// one; with fewer its lives still count in the pooled estimates. House rule:
// judgement, no source.
const (
	LeastEnded         = 5
	LeastEndedClusters = 3
)

// LeastPlaces is how many places with a cell that estimates its own median it
// takes to tell how places differ.
const LeastPlaces = 3

// ErrTooLittle is returned where the lives are too few for any estimate.
var ErrTooLittle = errors.New("too little to estimate from")

// cell is one of the table, with its lives.
type cell struct {
	kind, place                    string
	lives                          []Life
	ended, clusters, endedClusters int // the last counts clusters with an ended life
	watched                        float64
}

// cells sorts the lives into cells, by kind and place.
func (d Data) cells() []*cell {
	at := map[[2]string]*cell{}
	var all []*cell
	for _, l := range d.Lives {
		key := [2]string{l.Kind, l.Place}
		if at[key] == nil {
			at[key] = &cell{kind: l.Kind, place: l.Place}
			all = append(all, at[key])
		}
		at[key].lives = append(at[key].lives, l)
	}
	for _, c := range all {
		c.count()
	}
	slices.SortFunc(all, func(a, b *cell) int { return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.place, b.place)) })
	return all
}

// count fills in the cell's figures. A cluster is watched for as long as the
// longest of its lives in the cell.
func (c *cell) count() {
	longest, ended := map[int]float64{}, map[int]bool{}
	for _, l := range c.lives {
		until := l.Span.Lower
		if over(l.Span) {
			c.ended++
			ended[l.Span.Cluster] = true
			until = l.Span.Upper
		}
		longest[l.Span.Cluster] = max(longest[l.Span.Cluster], until-l.Span.Entry)
	}
	for _, time := range longest {
		c.watched += time
	}
	c.clusters, c.endedClusters = len(longest), len(ended)
}

// counts is the cell without estimates.
func (c *cell) counts() Cell {
	return Cell{Kind: c.kind, Place: c.place, Lives: len(c.lives), Clusters: c.clusters,
		Ended: c.ended, EndedClusters: c.endedClusters, Watched: c.watched}
}

// Count tells of each cell, by kind and place, how many lives it has, for where
// Fit finds too little to estimate from.
func Count(d Data) []Cell {
	var all []Cell
	for _, c := range d.cells() {
		all = append(all, c.counts())
	}
	return all
}

// over reports whether the life is known to have ended.
func over(s survival.Span) bool { return s.Upper <= maxTime }

// strong reports whether the cell estimates its own median. One in which all
// lives ended before they were ever seen to hold bounds it on one side only.
func (c *cell) strong() bool {
	return c.ended >= LeastEnded && c.endedClusters >= LeastEndedClusters &&
		slices.ContainsFunc(c.lives, func(l Life) bool { return l.Span.Lower > l.Span.Entry || l.Span.Lower == l.Span.Upper })
}

func (d Data) validate() error {
	if len(d.Lives) == 0 {
		return fmt.Errorf("pool lives: %w", survival.ErrNoSpans)
	}
	spans := make([]survival.Span, len(d.Lives))
	for i, l := range d.Lives {
		spans[i] = l.Span
		if len(l.Covariates) != len(d.Covariates) {
			return fmt.Errorf("pool lives: life %d has %d covariates, want %d", i, len(l.Covariates), len(d.Covariates))
		}
	}
	if err := survival.Validate(spans); err != nil {
		return fmt.Errorf("pool lives: %w", err)
	}
	return nil
}
