package decay

import (
	"errors"
	"fmt"
)

// maxAngle is the largest contact angle there can be, in degrees.
const maxAngle = 180

// ErrFloor means that a given floor is above the readings.
var ErrFloor = errors.New("floor is not below the readings")

// Options says what kind of curve Fit is to find. Its zero value is an
// exponential decay whose floor is estimated from independent points.
type Options struct {
	// Shape is the kind of curve; "" is exponential.
	Shape Shape

	// Floor fixes the floor in degrees, such as at the angle of an uncoated
	// control. Nil means that it is estimated. A line has none, and takes no
	// notice of it.
	Floor *float64

	// Clustered takes limits from the scatter between clusters.
	Clustered bool

	// Loss limits the pull of odd readings; see LeastSquares.
	Loss Loss
}

// Fit estimates a falling curve of contact angles, in degrees, by weighted
// least squares within
//
//	0 ≤ floor ≤ start ≤ 180,  10⁻⁴ ≤ τ/T ≤ 10³
//
// with T the time of the last point; a Stretched power within 0.1 and 10; for
// Logistic the top in place of the start, the width in place of τ, and the
// middle within 0 and 10 T; for Linear start ≤ 180 and a rate above 0. The
// search starts from the best of a grid of the parameters that the curve isn't
// straight in, with floor and start solved for each, so it needs no start
// values and is not caught in a side valley.
//
// A parameter that ends at a bound is AtBound: it has no limits, those of the
// rest take it as known, and a note says so. Where no fall is seen, which
// includes one that runs off to the slowest there may be, the result is a
// Curve with Falls false. With one different time fewer than a free floor
// takes, the floor is held at 0°, Fixed, and a note says so. If the readings
// leave so much open that no search comes to rest, the curve is the best that
// was met, its parameters Undetermined, and a note says so.
//
// Readings outside 0 to 180 or before time 0 are *PointError. A shape of k
// estimated parameters takes k + 1 distinct times; fewer, or fewer than two
// clusters if Clustered, are ErrTooFew. A fixed floor that the best curve
// would have to start at or below is ErrFloor. It panics if the shape is none of Shapes.
func Fit(points []Point, options Options) (*Curve, error) {
	curve, err := fit(points, options)
	if err != nil {
		return nil, fmt.Errorf("fit decay: %w", err)
	}
	return curve, nil
}

func fit(points []Point, options Options) (*Curve, error) {
	if err := checkPoints(points); err != nil {
		return nil, err
	}
	if err := checkAngles(points); err != nil {
		return nil, err
	}
	if err := options.Loss.check(); err != nil {
		return nil, err
	}
	if f := options.Floor; f != nil && !(*f >= 0 && *f < maxAngle) {
		return nil, fmt.Errorf("floor %g is not an angle of 0 to less than 180 degrees", *f)
	}
	c := &Curve{Shape: options.Shape}
	if c.Shape == "" {
		c.Shape = ExponentialShape
	}
	f := newFitting(points, c.Shape, options)
	c.floorHeld = f.holdFloor()
	if need := f.timesNeeded(); len(f.times) < need {
		return nil, fmt.Errorf("%d distinct times, %d are needed: %w", len(f.times), need, ErrTooFew)
	}
	c.First, c.Last = f.times[0], f.last()
	f.ends = newEnds(points, f.floor)

	solution, falls, err := f.best()
	if err != nil {
		return nil, err
	}
	c.Falls = falls
	c.describe(solution, f.floor)
	return c, nil
}
