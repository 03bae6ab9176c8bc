package decay

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// fitting is the search for one falling curve.
type fitting struct {
	points     []Point
	shape      Shape
	floor      *float64 // if given or held
	floorGiven bool
	clustered  bool
	loss       Loss
	times      []float64 // the distinct ones, in order
	ends       *ends
	bounds     Settings // of a fall

	// steady and its scale are of the scan, if a loss is asked for.
	steady      candidate
	steadyScale float64
}

func newFitting(points []Point, shape Shape, options Options) *fitting {
	f := &fitting{points: points, shape: shape, clustered: options.Clustered, loss: options.Loss, times: distinctTimes(points)}
	if shape != LinearShape {
		f.floor, f.floorGiven = options.Floor, options.Floor != nil
	}
	return f
}

func distinctTimes(points []Point) []float64 {
	times := make([]float64, len(points))
	for i, p := range points {
		times[i] = p.Time
	}
	slices.Sort(times)
	return slices.Compact(times)
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

// best returns the best falling curve, or the best constant if no fall is
// better than that.
func (f *fitting) best() (solution *Solution, falls bool, err error) {
	a, err := f.fall()
	if err == nil && f.loss != Squares {
		a, err = f.steadiest(a)
	}
	if err != nil {
		return nil, false, err
	}
	if a != nil && f.falls(a.solution) {
		return a.solution, true, nil
	}
	if f.floorGiven && f.ends.mean <= *f.floor {
		return nil, false, fmt.Errorf("floor %g, readings of mean %.4g: %w", *f.floor, f.ends.mean, ErrFloor)
	}
	a, err = f.attempt(level(), []float64{f.ends.mean}, Settings{Clustered: f.clustered, Loss: f.loss})
	return a.solution, false, err
}

// falls reports whether a solution goes down.
func (f *fitting) falls(s *Solution) bool {
	if f.shape == LinearShape {
		return s.Parameters[rateAt].Value > 0
	}
	return s.Parameters[f.shape.form(f.last()).start].Value > s.Parameters[floorAt].Value
}

// fall returns the search that led to the best falling curve, or nil if none
// is better than a constant.
func (f *fitting) fall() (*attempt, error) {
	if f.shape == LinearShape {
		return f.line()
	}
	form := f.shape.form(f.last())
	lower, upper := form.bounds(f.floor, f.last())
	s := newScan(f.ends, form, lower[form.scale], upper[form.scale], f.loss != Squares)
	valleys := make([]valley, 0, 24)
	for _, bend := range form.bends(f.times) {
		valleys = append(valleys, s.lowest(bend))
	}
	slices.SortStableFunc(valleys, func(a, b valley) int { return cmp.Compare(a.best.rss, b.best.rss) })
	f.bounds = Settings{Lower: lower, Upper: upper, Clustered: f.clustered}
	f.steady, f.steadyScale = s.steady, s.scale
	if f.flat(s, valleys[0]) {
		return nil, nil
	}
	return f.descend(form, s, valleys)
}

// flat reports whether a valley is no fall: it saves nothing on the constant,
// or a curve that falls too slowly to be seen is as good.
func (f *fitting) flat(s *scan, v valley) bool {
	best, slow := v.best, v.slowest
	return best.start <= best.floor || f.ends.total-best.rss <= s.alike() ||
		slow.rss <= best.rss+s.alike() && f.seen(slow) < littleFall
}

// seen is how far a candidate falls while it is watched.
func (f *fitting) seen(c candidate) float64 {
	left := f.shape.form(f.last()).left
	return (c.start - c.floor) * (left(c.pace, f.times[0]) - left(c.pace, f.last()))
}

// fewStarts is from how many valleys the search starts before it takes the
// lowest end of all.
const fewStarts = 3

// descend searches from the lowest valleys, and from the others if none of
// those leads to a rest. If none at all does, it returns the lowest place that
// was reached.
func (f *fitting) descend(form form, s *scan, valleys []valley) (*attempt, error) {
	var best *attempt
	for i, v := range valleys {
		if i >= fewStarts && best != nil && best.settled {
			break
		}
		a, err := f.from(form, s, v)
		if err != nil {
			return nil, err
		}
		switch {
		case !f.falls(a.solution):
			// Another curve fell, so this one lost its way.
		case best == nil, a.settled && !best.settled, a.settled == best.settled && a.solution.RSS < best.solution.RSS:
			best = a
		}
	}
	return best, nil
}

// from searches from one valley. If nothing was read during the fall, so that
// any faster one fits as well, its pace stays where it is.
func (f *fitting) from(form form, s *scan, v valley) (*attempt, error) {
	settings, start := f.bounds, v.best
	if v.fastest.rss <= v.best.rss+s.alike() {
		start = v.fastest
		settings.Lower, settings.Upper = slices.Clone(settings.Lower), slices.Clone(settings.Upper)
		settings.Upper[form.scale] = settings.Lower[form.scale]
		if form.bend >= 0 && s.sudden(start.pace) {
			settings.Lower[form.bend], settings.Upper[form.bend] = start.pace.bend, start.pace.bend
		}
	}
	return f.attempt(form.model, form.parameters(start), settings)
}

// line returns the best line that falls, or nil.
func (f *fitting) line() (*attempt, error) {
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
	return f.attempt(Linear(), []float64{lineStartAt: start, rateAt: rate}, Settings{
		Lower: []float64{lineStartAt: 0, rateAt: 0}, Upper: []float64{lineStartAt: maxAngle, rateAt: math.Inf(1)},
		Clustered: f.clustered,
	})
}
