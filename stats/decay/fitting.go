package decay

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// fitting is the search for one falling curve.
type fitting struct {
	points   []Point
	shape    Shape
	floor    *float64 // if given or held
	settings Settings
	times    []float64 // the distinct ones, in order
	ends     *ends
}

// last is the time of the last point.
func (f *fitting) last() float64 { return f.times[len(f.times)-1] }

// timesNeeded is one more than there are parameters to estimate.
func (f *fitting) timesNeeded() int {
	need := len(f.shape.Model().Parameters) + 1
	if f.floor != nil {
		need--
	}
	return need
}

// holdFloor puts a free floor at 0° if that leaves just enough distinct times
// to estimate the rest from, and reports whether it did.
func (f *fitting) holdFloor() bool {
	if f.floor != nil || f.shape == LinearShape || len(f.times) != f.timesNeeded()-1 {
		return false
	}
	f.floor = new(float64)
	return true
}

// fall returns the best falling curve, or nil if none is better than a
// constant.
func (f *fitting) fall() (*Solution, error) {
	if f.shape == LinearShape {
		return f.line()
	}
	form := f.shape.form(f.last())
	lower, upper := form.bounds(f.floor, f.last())
	s := &scan{
		ends: f.ends, left: form.left, low: lower[form.scale], high: upper[form.scale],
		perDecade: form.perDecade, course: make([]float64, len(f.points)),
	}
	valleys := make([]valley, 0, 24)
	for _, bend := range form.bends(f.times) {
		valleys = append(valleys, s.lowest(bend))
	}
	slices.SortStableFunc(valleys, func(a, b valley) int { return cmp.Compare(a.best.rss, b.best.rss) })
	if f.flat(s, valleys[0]) {
		return nil, nil
	}
	f.settings.Lower, f.settings.Upper = lower, upper
	return f.descend(form, s, valleys)
}

// flat reports whether a valley is no fall: it saves nothing on the constant,
// or a curve that falls too slowly to be seen is as good.
func (f *fitting) flat(s *scan, v valley) bool {
	best, slow := v.best, v.slowest
	seen := (slow.start - slow.floor) * (s.left(slow.pace, f.times[0]) - s.left(slow.pace, f.last()))
	return best.start <= best.floor || f.ends.total-best.rss <= s.alike() ||
		slow.rss <= best.rss+s.alike() && seen < littleFall
}

// fewStarts is from how many valleys the search starts before it takes the
// lowest end of all.
const fewStarts = 3

// descend searches from the lowest valleys, and from the others if none of
// those leads to an end.
func (f *fitting) descend(form form, s *scan, valleys []valley) (best *Solution, err error) {
	for i, v := range valleys {
		if i >= fewStarts && best != nil {
			break
		}
		solution, oneErr := f.from(form, s, v)
		var unsettled *NotConvergedError
		switch {
		case errors.As(oneErr, &unsettled):
			err = oneErr
		case oneErr != nil:
			return nil, oneErr
		case solution.Parameters[form.start].Value <= solution.Parameters[floorAt].Value:
			// Another curve fell, so this one lost its way.
		case best == nil || solution.RSS < best.RSS:
			best = solution
		}
	}
	if best == nil {
		return nil, err
	}
	return best, nil
}

// from searches from one valley. If nothing was read during the fall, so that
// any faster one fits as well, its pace stays where it is.
func (f *fitting) from(form form, s *scan, v valley) (*Solution, error) {
	settings, start := f.settings, v.best
	if sudden := v.fastest.rss <= v.best.rss+s.alike(); sudden {
		start = v.fastest
		settings.Lower, settings.Upper = slices.Clone(settings.Lower), slices.Clone(settings.Upper)
		settings.Upper[form.scale] = settings.Lower[form.scale]
		if form.bend >= 0 && s.sudden(start.pace) {
			settings.Lower[form.bend], settings.Upper[form.bend] = start.pace.bend, start.pace.bend
		}
	}
	solution, err := LeastSquares(form.model, f.points, form.parameters(start), settings)
	if err != nil {
		return nil, err
	}
	for j := range solution.Parameters {
		if p := &solution.Parameters[j]; p.State == Fixed && (j != floorAt || f.floor == nil) {
			p.State = AtBound
		}
	}
	return solution, nil
}

// line returns the best line that falls, or nil.
func (f *fitting) line() (*Solution, error) {
	at, spread, slope := 0.0, 0.0, 0.0 // the weighted mean time, and sums around it
	for _, p := range f.points {
		at += p.Weight * p.Time / f.ends.weight
	}
	for _, p := range f.points {
		spread += p.Weight * (p.Time - at) * (p.Time - at)
		slope += p.Weight * (p.Time - at) * (p.Value - f.ends.mean)
	}
	rate := -slope / spread
	if rate <= 0 || slope*slope/spread <= 1e-9*f.ends.total {
		return nil, nil
	}
	start := min(f.ends.mean+rate*at, maxAngle)
	f.settings.Lower = []float64{lineStartAt: 0, rateAt: 0}
	f.settings.Upper = []float64{lineStartAt: maxAngle, rateAt: math.Inf(1)}
	return LeastSquares(Linear(), f.points, []float64{lineStartAt: start, rateAt: rate}, f.settings)
}
