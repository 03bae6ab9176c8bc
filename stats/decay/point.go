package decay

import (
	"errors"
	"fmt"
	"math"
)

// Point is one reading, or the mean of several.
type Point struct {
	Time  float64 // since going into service
	Value float64 // what was read; in Fit an angle in degrees

	// Weight is greater than 0: the variance of Value is σ²/Weight, with one
	// σ for all points, which is estimated. It is 1 for single readings, and
	// the number of readings for a mean of that many.
	//
	// Drops of one reading share its operator, its spot and its light, so a
	// reading of m drops is worth less than m readings of one. With σd the SD
	// between the drops of a reading and σr that between readings of the same
	// patch on one day,
	//
	//	Weight = (σd² + σr²)/(σd²/m + σr²)
	//
	// which is 1 for one drop, and for many drops no more than 1 + σd²/σr².
	Weight float64

	// Cluster numbers what the point shares its luck with, such as the
	// vehicle. It is read only if Settings or Options ask for Clustered.
	Cluster int
}

// ErrTooFew means that there are fewer points, distinct times or clusters than
// the quantities to be estimated need.
var ErrTooFew = errors.New("too few readings")

// PointError is a point that cannot be used.
type PointError struct {
	Index   int    // its place among the points, from 0
	Problem string // what is wrong with it
}

// Error names the point by its place, counted from 0.
func (e *PointError) Error() string {
	return fmt.Sprintf("point %d: %s", e.Index, e.Problem)
}

// checkPoints returns a *PointError for the first point that no least-squares
// fit can use.
func checkPoints(points []Point) error {
	for i, p := range points {
		problem := ""
		switch {
		case !finite(p.Time):
			problem = fmt.Sprintf("time %g is not a finite number", p.Time)
		case !finite(p.Value):
			problem = fmt.Sprintf("value %g is not a finite number", p.Value)
		case !finite(p.Weight) || p.Weight <= 0:
			problem = fmt.Sprintf("weight %g is not greater than 0 and finite", p.Weight)
		}
		if problem != "" {
			return &PointError{Index: i, Problem: problem}
		}
	}
	return nil
}

// checkAngles returns a *PointError for the first point that is not an angle
// read after going into service.
func checkAngles(points []Point) error {
	for i, p := range points {
		problem := ""
		switch {
		case p.Time < 0:
			problem = fmt.Sprintf("time %g is before going into service", p.Time)
		case p.Value < 0 || p.Value > maxAngle:
			problem = fmt.Sprintf("angle %g is not between 0 and 180 degrees", p.Value)
		}
		if problem != "" {
			return &PointError{Index: i, Problem: problem}
		}
	}
	return nil
}

func finite(x float64) bool {
	return !math.IsNaN(x) && !math.IsInf(x, 0)
}
