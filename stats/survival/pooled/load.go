package pooled

import (
	"errors"
	"fmt"
	"math"

	"beadspan/stats/pooling"
)

// LeastLoadPlaces is how many places it takes to tell how one load bears on
// lives, and LeastForecastPlaces before a forecast rests on it: with fewer, two
// or three places that happen to lie so would decide. House rules: judgement,
// and the simulation beside this file.
const (
	LeastLoadPlaces     = 4
	LeastForecastPlaces = 6
)

// ErrLoad is returned where a load can't be told apart from the places' luck.
var ErrLoad = errors.New("the load's bearing on lives can't be told")

// LoadEffect is by what factor lives are longer where a load of the place is
// one unit more, all kinds alike, from a comparison between places. It is no
// proof of cause: loads that rise and fall together over the places share it.
type LoadEffect struct {
	Factor
	Places    int
	Low, High float64 // the load's range over the places

	result *Result
	model  *pooling.Model
	mean   float64
}

// OnLoad estimates the effect of a load that each place has: the log medians'
// means are taken to change with it by the same slope for all kinds, beside the
// random effects of places and cells. Limits are from a t distribution with two
// degrees of freedom less than there are places.
//
// Where nothing is pooled, fewer than LeastLoadPlaces places have cells with
// medians of their own, a place has no load or all have the same, it is ErrLoad
// with the reason.
func (r *Result) OnLoad(name string, loads map[string]float64) (*LoadEffect, error) {
	if r.model == nil || len(r.Places) < LeastLoadPlaces {
		return nil, fmt.Errorf("%w: %d of the places have a median of their own, and it takes %d", ErrLoad, len(r.Places), LeastLoadPlaces)
	}
	e := &LoadEffect{Places: len(r.Places), Low: math.Inf(1), High: math.Inf(-1), result: r}
	for _, place := range r.table.places {
		load, known := loads[place]
		if !known || math.IsNaN(load) || math.IsInf(load, 0) {
			return nil, fmt.Errorf("%w: it isn't known of %s", ErrLoad, place)
		}
		e.mean += load / float64(len(r.table.places))
	}
	for _, place := range r.Places {
		e.Low, e.High = math.Min(e.Low, loads[place]), math.Max(e.High, loads[place])
	}
	if !(e.High-e.Low > 1e-9*math.Abs(e.mean)) {
		return nil, fmt.Errorf("%w: it is the same in all places", ErrLoad)
	}
	d := r.table.data(-1)
	for i, c := range r.table.pooledCells() {
		d.Design[i] = append(d.Design[i], loads[c.place]-e.mean)
	}
	var err error
	if e.model, err = pooling.Fit(d); err != nil {
		return nil, fmt.Errorf("effect of %s: %w", name, err)
	}
	j := len(e.model.Coefficients) - 1
	e.Factor = newFactor(name, e.model.Coefficients[j], math.Sqrt(e.model.Covariance.At(j, j)), r.freedom(1), r.Level)
	return e, nil
}

// NewPlace is Result.NewPlace for a place of which the load is known. Beyond
// the range from Low to High it extrapolates, which whoever shows it must say.
func (e *LoadEffect) NewPlace(kind string, load float64) (*Median, error) {
	if !e.result.table.pools(kind) {
		return nil, nil
	}
	x := append(e.result.table.kindRow(kind), load-e.mean)
	p, err := e.model.Predict(x, []int{pooling.New, pooling.New}[:len(e.model.SD)])
	if err != nil {
		return nil, fmt.Errorf("forecast for a new place: %w", err)
	}
	return newMedian(p.Mean, p.SE, e.DF, e.result.Level), nil
}

// pooledCells are the cells of data(-1), in order.
func (t *table) pooledCells() []*cell {
	cells := append([]*cell(nil), t.strong...)
	for i, s := range t.sites {
		if s.known {
			cells = append(cells, t.thin[i])
		}
	}
	return cells
}
