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

// TimeTo returns when the curve comes down to threshold c, in degrees,
//
//	T = (θ0 − c)/r                             linear
//	T = τ log(1/q)                             exponential
//	T = τ log(1/q)^(1/k)                       stretched
//	T = m + s log((1 − q)/q)                   logistic
//
// with q = (c − floor)/(start − floor) the share of the fall that is then left,
// and the standard error of the delta method, the curve's own error at T
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
	first, _ := c.Solution.at(0)
	switch {
	case first <= threshold:
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
	time, slope, known := c.passage(x.Threshold)
	x.Time = time
	x.Extrapolated = x.Time < c.First || x.Time > c.Last
	if !known {
		return
	}
	_, se := c.Solution.at(x.Time)
	x.SE = se / slope
	reach := math.Exp(studentQuantile(level, c.Solution.limitDF()) * x.SE / x.Time)
	x.Lower, x.Upper = x.Time/reach, x.Time*reach
}

// passage returns when the curve passes a threshold and how fast it falls
// there; known is false if the readings don't tell how fast.
func (c *Curve) passage(threshold float64) (time, slope float64, known bool) {
	parameters := c.Solution.Parameters
	if c.Shape == LinearShape {
		rate := parameters[rateAt]
		return (c.Start.Value - threshold) / rate.Value, rate.Value, rate.State == Estimated
	}
	form := c.form()
	pace, drop := form.pace(parameters), c.Start.Value-c.Floor.Value
	left := (threshold - c.Floor.Value) / drop
	return form.when(pace, left), drop * form.speed(pace, left), parameters[form.scale].State == Estimated
}
