package decay

import (
	"fmt"
	"math"
)

// Outcome says whether a curve comes down to a threshold.
type Outcome string

// A curve crosses its threshold once, never, or before it begins.
const (
	Crosses        Outcome = "crosses"
	NotReached     Outcome = "not reached"      // the floor is not below the threshold, or nothing falls
	BelowFromStart Outcome = "below from start" // the start is not above it
)

// Crossing is the time at which a curve comes down to a threshold.
type Crossing struct {
	Threshold float64
	Outcome   Outcome

	// Time is +Inf if NotReached and 0 if BelowFromStart.
	Time float64

	// SE, Lower and Upper are NaN unless the curve Crosses and has limits;
	// they are NaN too where τ is at its bound, which leaves the time of the
	// fall unknown. Lower is above 0; Upper may be +Inf.
	SE, Lower, Upper float64

	// Extrapolated is set if Time lies before the first or after the last
	// reading: it then rests on the shape of the curve alone.
	Extrapolated bool
}

// TimeTo returns when the curve comes down to threshold, in degrees,
//
//	T = τ log((θ0 − θ∞) / (threshold − θ∞))
//
// with the standard error of the delta method, the curve's own error at T
// divided by its slope there, and limits on the scale of log T, where they
// cannot be negative:
//
//	T e^(± t SE/T)
//
// t is as in Parameter.Limits. The error knows nothing of a wrong shape of
// curve: see Extrapolated.
//
// A threshold that is not an angle of 0 to 180 degrees and a level outside
// (0, 1) are errors.
func (c *Curve) TimeTo(threshold, level float64) (Crossing, error) {
	if err := checkLevel(level); err != nil {
		return Crossing{}, err
	}
	if !(threshold >= 0 && threshold <= maxAngle) {
		return Crossing{}, fmt.Errorf("threshold %g is not an angle of 0 to 180 degrees", threshold)
	}
	x := Crossing{Threshold: threshold, SE: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
	switch {
	case c.Start.Value <= threshold:
		x.Outcome = BelowFromStart
		x.Extrapolated = c.First > 0
	case !c.Falls || c.Floor.Value >= threshold:
		x.Outcome, x.Time = NotReached, math.Inf(1)
		x.Extrapolated = true
	default:
		x.Outcome = Crosses
		c.cross(&x, level)
	}
	return x, nil
}

// cross fills in the time of a crossing that takes place.
func (c *Curve) cross(x *Crossing, level float64) {
	drop, left := c.Start.Value-c.Floor.Value, x.Threshold-c.Floor.Value
	x.Time = c.Tau.Value * math.Log(drop/left)
	x.Extrapolated = x.Time < c.First || x.Time > c.Last
	if c.Tau.State != Estimated {
		return
	}
	_, se := c.Solution.at(x.Time)
	slope := left / c.Tau.Value
	x.SE = se / slope
	reach := math.Exp(studentQuantile(level, c.Solution.limitDF()) * x.SE / x.Time)
	x.Lower, x.Upper = x.Time/reach, x.Time*reach
}
