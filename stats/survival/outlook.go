package survival

import (
	"fmt"
	"math"
	"sort"
)

// Bounds are the least and the largest value that an IntervalCurve allows: it
// does not know where in an innermost interval lives end. They are no
// confidence limits.
type Bounds struct{ Lower, Upper float64 }

// GivenAlive bounds the chance that a life that still held at time alive holds
// at time t as well:
//
//	P(T > t | T > alive) = S(t)/S(alive)
//
// over all S that the estimate allows. Both bounds are NaN where no life
// outlasts alive. It panics unless 0 ≤ alive ≤ t.
func (c *IntervalCurve) GivenAlive(alive, t float64) Bounds {
	if !(0 <= alive && alive <= t) {
		panic(fmt.Sprintf("survival: want 0 ≤ alive ≤ t, got %v and %v", alive, t))
	}
	now, then := c.At(alive), c.At(t)
	switch {
	case now.Upper <= 0:
		return Bounds{math.NaN(), math.NaN()}
	case t == alive:
		return Bounds{1, 1}
	case then.Upper <= 0:
		return Bounds{0, 0}
	}
	// S(alive) and S(t) can both be anything between their bounds, but S falls.
	return Bounds{then.Lower / now.Upper, min(1, then.Upper/now.Lower)}
}

// RemainingLife bounds how much longer a life that still holds at time alive
// may be expected to hold within the next horizon:
//
//	∫ S(alive + v)/S(alive) dv,  v from 0 to horizon
//
// It is about lives within the follow-up: where alive + horizon lies past the
// last sight of anything, nothing is known of S there but that it falls, and
// the bounds are as wide as that. Both bounds are NaN where no life outlasts
// alive. It panics unless alive ≥ 0 and horizon > 0 are finite.
func (c *IntervalCurve) RemainingLife(alive, horizon float64) Bounds {
	if !(alive >= 0 && horizon > 0) || math.IsInf(alive+horizon, 1) {
		panic(fmt.Sprintf("survival: want alive ≥ 0 and horizon > 0, got %v and %v", alive, horizon))
	}
	if c.At(alive).Upper <= 0 {
		return Bounds{math.NaN(), math.NaN()}
	}
	var sum Bounds
	from, end := alive, alive+horizon
	for from < end { // the bounds of S do not change between ends of intervals
		to := c.nextEnd(from, end)
		b := c.GivenAlive(alive, from+(to-from)/2)
		sum.Lower += b.Lower * (to - from)
		sum.Upper += b.Upper * (to - from)
		from = to
	}
	return sum
}

// nextEnd is the first end of an interval after t, or last if that is earlier.
func (c *IntervalCurve) nextEnd(t, last float64) float64 {
	i := sort.Search(len(c.Intervals), func(i int) bool { return c.Intervals[i].Upper > t })
	switch {
	case i == len(c.Intervals):
		return last
	case c.Intervals[i].Lower > t:
		return min(c.Intervals[i].Lower, last)
	}
	return min(c.Intervals[i].Upper, last)
}
