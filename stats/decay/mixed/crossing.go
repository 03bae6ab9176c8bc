package mixed

import (
	"math"

	"beadspan/stats/decay"
)

// longestWatch is how many times the time of the last reading is looked ahead.
const longestWatch = 1000

// TimeTo returns when the curve first comes down to a threshold, with limits
// at a confidence level as decay.Curve.TimeTo has them, but for t, which is that of Predict.
// The outcome is NotReached if that is not within 1000 times the time of the
// last reading. The search begins at time 0; a dip that is over within a
// quarter of its time may go unseen, which no falling curve has.
//
// For the typical curve this is the time at the median parameters, which is not
// quite the median of the groups' times: Passage has those.
//
// A level outside (0, 1) is an error.
func (c *Curve) TimeTo(threshold, level float64) (decay.Crossing, error) {
	t, err := c.reach(level)
	if err != nil {
		return decay.Crossing{}, err
	}
	x := decay.Crossing{Threshold: threshold, SE: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
	value := func(time float64) float64 {
		v, _ := c.at(time)
		return v
	}
	time, reached := firstBelow(value, threshold, longestWatch*c.fit.Last)
	switch {
	case !reached:
		x.Outcome, x.Time, x.Extrapolated = decay.NotReached, math.Inf(1), true
		return x, nil
	case time == 0:
		x.Outcome, x.Extrapolated = decay.BelowFromStart, c.fit.First > 0
		return x, nil
	}
	x.Outcome, x.Time = decay.Crosses, time
	x.Extrapolated = time < c.fit.First || time > c.fit.Last
	h := 1e-4 * time
	fall := (value(time-h) - value(time+h)) / (2 * h)
	if fall > 0 {
		_, gradient := c.at(time)
		x.SE = spreadOf(c.errors, gradient) / fall
		factor := math.Exp(t * x.SE / time)
		x.Lower, x.Upper = time/factor, time*factor
	}
	return x, nil
}

// firstBelow returns the first time from 0 to horizon at which value is not
// above threshold, 0 if it is not above it at 0. It looks at times that grow by
// a quarter each, then halves the last step.
func firstBelow(value func(time float64) float64, threshold, horizon float64) (time float64, reached bool) {
	if value(0) <= threshold {
		return 0, true
	}
	above := 0.0
	for t := horizon * 1e-6; ; t *= 1.25 {
		t = min(t, horizon)
		if value(t) <= threshold {
			return between(value, threshold, above, t), true
		}
		if t >= horizon {
			return math.Inf(1), false
		}
		above = t
	}
}

// between narrows down a crossing to rounding.
func between(value func(time float64) float64, threshold, above, below float64) float64 {
	for range 80 {
		middle := above + (below-above)/2
		if middle == above || middle == below {
			break
		}
		if value(middle) <= threshold {
			below = middle
		} else {
			above = middle
		}
	}
	return below
}
