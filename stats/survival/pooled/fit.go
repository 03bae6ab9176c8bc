package pooled

import (
	"fmt"
	"math"

	"beadspan/stats/pooling"
	"beadspan/stats/survival"
)

// Fit estimates the median of every cell by itself and pooled, with limits at a
// confidence level.
//
// The cells that have LeastEnded lives ended on LeastEndedClusters clusters get
// an effect each in an accelerated failure time model, with the covariates, of
// the distribution with the least AIC; errors are robust to clusters. Their log
// medians y, with error covariance V, follow
//
//	y = μ(kind) + u(place) + w(kind, place) + e,  u ~ N(0, τ²),  w ~ N(0, ω²),  e ~ N(0, V)
//
// with τ and ω by REML (package pooling). Lives of thinner cells count by their
// likelihood, lessened by how much clusters lessen that of the others. A kind
// without any cell of its own median isn't pooled.
//
// Where fewer than LeastPlaces places have a cell with its own median, Unpooled
// says so. No cell with its own median is ErrTooLittle; a level outside (0, 1)
// survival.ErrLevel; other errors are those of package aft.
func Fit(d Data, level float64) (*Result, error) {
	if err := d.validate(); err != nil {
		return nil, err
	}
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("pool lives: %w: got %v", survival.ErrLevel, level)
	}
	cells := d.cells()
	t := newTable(cells)
	if len(t.strong) == 0 {
		return nil, fmt.Errorf("pool lives: %w: no cell has %d ended lives on %d clusters", ErrTooLittle, LeastEnded, LeastEndedClusters)
	}
	var err error
	if t.own, err = fitOwn(d, t.strong); err != nil {
		return nil, fmt.Errorf("pool lives: %w", err)
	}
	r := &Result{Level: level, Law: t.own.model.Distribution, Sigma: math.Exp(t.own.model.LogScale[0]), table: t, Places: t.strongPlaces()}
	r.addCovariates(d)
	for _, c := range cells {
		counted := c.counts()
		counted.Own = t.ownMedian(c, level)
		r.Cells = append(r.Cells, counted)
	}
	if len(r.Places) < LeastPlaces {
		r.Unpooled = fmt.Sprintf("%d of the places have a cell with a median of its own; it takes %d to tell how places differ",
			len(r.Places), LeastPlaces)
		return r, nil
	}
	if err = t.poolAll(); err != nil {
		return nil, fmt.Errorf("pool lives: %w", err)
	}
	if r.model, err = pooling.Fit(t.data(-1)); err != nil {
		return nil, fmt.Errorf("pool lives: %w", err)
	}
	if r.average, err = pooling.Average(t.data(-1)); err != nil {
		return nil, fmt.Errorf("pool lives: %w", err)
	}
	r.Unsettled = t.unsettled
	return r, r.addPooled()
}

// addCovariates turns the coefficients into factors.
func (r *Result) addCovariates(d Data) {
	m := r.table.own.model
	first := len(m.Coefficients) - len(d.Covariates)
	for k, name := range d.Covariates {
		j := first + k
		r.Covariates = append(r.Covariates, newFactor(name, m.Coefficients[j], math.Sqrt(m.Covariance.At(j, j)), float64(m.DF), r.Level))
	}
}

// ownMedian is what a strong cell shows by itself.
func (t *table) ownMedian(c *cell, level float64) *Median {
	for i, s := range t.strong {
		if s == c {
			return newMedian(t.own.medians[i], math.Sqrt(t.own.variances.At(i, i)), c.freedom(), level)
		}
	}
	return nil
}

// freedom is the degrees of freedom of the cell's limits: those of the clusters
// with an ended life.
func (c *cell) freedom() float64 { return float64(c.endedClusters - 1) }

// addPooled predicts every cell and kind.
func (r *Result) addPooled() error {
	sd := r.model.SD
	r.PlaceSD = &sd[0]
	if len(sd) > 1 {
		r.CellSD = &sd[1]
	}
	for i, c := range r.Cells {
		if !r.table.pools(c.Kind) {
			continue
		}
		x, groups := r.table.row(c.Kind, c.Place)
		p, err := r.average.Predict(x, groups)
		if err != nil {
			return fmt.Errorf("pool lives: %w", err)
		}
		df := math.Inf(1)
		if c.Own != nil {
			df = c.Own.DF
		}
		r.Cells[i].Pooled = newMedian(p.Mean, p.SE, df, r.Level)
	}
	for _, kind := range r.table.kinds {
		p, err := r.model.Average(r.table.kindRow(kind))
		if err != nil {
			return fmt.Errorf("pool lives: %w", err)
		}
		r.Kinds = append(r.Kinds, Cell{Kind: kind, Pooled: newMedian(p.Mean, p.SE, r.freedom(0), r.Level)})
	}
	return nil
}

// freedom is the degrees of freedom of what differs between places: their
// number less one, and less the slopes on loads.
func (r *Result) freedom(slopes int) float64 { return float64(len(r.Places) - 1 - slopes) }

// NewPlace predicts the median of a kind in a place of which nothing is known,
// as likely to be good or bad for lives as those of the table. Limits are those
// of the median there, not of one life: with SE² = τ² + ω² + Var μ they are from
// a t distribution with one degree of freedom less than there are places.
//
// It returns nil where nothing is pooled, or not that kind.
//
// Source: Higgins, Thompson and Spiegelhalter, J. R. Stat. Soc. A 172 (2009)
// 137–159, for the t distribution, with one degree of freedom fewer (from
// memory).
func (r *Result) NewPlace(kind string) (*Median, error) {
	if r.model == nil || !r.table.pools(kind) {
		return nil, nil
	}
	p, err := r.model.Predict(r.table.kindRow(kind), []int{pooling.New, pooling.New}[:len(r.model.SD)])
	if err != nil {
		return nil, fmt.Errorf("forecast for a new place: %w", err)
	}
	return newMedian(p.Mean, p.SE, r.freedom(0), r.Level), nil
}
