package decay

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// maxAngle is the largest contact angle there can be, in degrees.
const maxAngle = 180

// τ is looked for between these multiples of the last reading's time. Beyond
// the upper, the angle falls by less than 0.2° while it is watched.
const (
	shortestTau = 1e-4
	longestTau  = 1e3
)

// fewClusters is the number below which limits from the scatter between
// clusters are too narrow. Common practice, from memory: 20 to 30.
const fewClusters = 20

// ErrFloor means that a given floor is above the readings.
var ErrFloor = errors.New("floor is not below the readings")

// Options says what kind of curve Fit is to find. Its zero value estimates the
// floor and takes the points as independent.
type Options struct {
	// Floor fixes the floor in degrees, such as at the angle of an uncoated
	// control. Nil means that it is estimated.
	Floor *float64

	// Clustered takes limits from the scatter between clusters.
	Clustered bool
}

// Curve is an exponential decay fitted to contact angles.
type Curve struct {
	// Falls is false if no falling curve fits the points better than their
	// mean: no decay was seen. Start is then the weighted mean, an Estimated
	// angle that holds throughout, Tau is +Inf and a floor that was not given
	// is NaN, both Undetermined.
	Falls bool

	Floor, Start Parameter // θ∞ and θ0 in degrees
	Tau          Parameter // τ in the unit of time

	First, Last float64 // times of the first and last point

	// Notes are what a reader must know beside the numbers, in plain words.
	Notes []string

	Solution *Solution // of Exponential, or of one constant if nothing falls
}

// Fit estimates the exponential decay with floor (see Exponential) of contact
// angles, in degrees, by weighted least squares within
//
//	0 ≤ θ∞ ≤ θ0 ≤ 180,  10⁻⁴ ≤ τ/T ≤ 10³
//
// with T the time of the last point. The search starts from the best of a grid
// of τ, with floor and start solved for each, so it needs no start values and
// is not caught in a side valley. A parameter that ends at a bound is AtBound:
// it has no limits, those of the rest take it as known, and a note says so.
// Where no fall is seen, which includes a τ that runs off to its upper bound,
// the result is a Curve with Falls false.
//
// Readings outside 0 to 180 or before time 0 are *PointError. Fewer than four
// distinct times, or three with a fixed floor, or two clusters if Clustered,
// are ErrTooFew. A fixed floor that the best curve would have to start at or
// below is ErrFloor. A search that does not settle is *NotConvergedError.
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
	if f := options.Floor; f != nil && !(*f >= 0 && *f < maxAngle) {
		return nil, fmt.Errorf("floor %g is not an angle of 0 to less than 180 degrees", *f)
	}
	first, last, err := timesOf(points, options.Floor)
	if err != nil {
		return nil, err
	}
	profile := newProfile(points, options.Floor)
	solution, err := fall(points, options, profile, last)
	if err != nil {
		return nil, err
	}
	if solution == nil {
		if f := options.Floor; f != nil && profile.mean <= *f {
			return nil, fmt.Errorf("floor %g, readings of mean %.4g: %w", *f, profile.mean, ErrFloor)
		}
		solution, err = LeastSquares(level(), points, []float64{profile.mean}, Settings{Clustered: options.Clustered})
		if err != nil {
			return nil, err
		}
	}
	return newCurve(solution, options, first, last), nil
}

// timesOf returns the first and last time, or ErrTooFew if there are not
// enough different ones to fit a curve.
func timesOf(points []Point, floor *float64) (first, last float64, err error) {
	times := make([]float64, len(points))
	for i, p := range points {
		times[i] = p.Time
	}
	slices.Sort(times)
	times = slices.Compact(times)
	need := 4
	if floor != nil {
		need = 3
	}
	if len(times) < need {
		return 0, 0, fmt.Errorf("%d distinct times, %d are needed: %w", len(times), need, ErrTooFew)
	}
	return times[0], times[len(times)-1], nil
}

// fall returns the best falling curve, or nil if none is better than a
// constant.
func fall(points []Point, options Options, profile *profile, last float64) (*Solution, error) {
	lower := []float64{floorAt: 0, startAt: 0, tauAt: last * shortestTau}
	upper := []float64{floorAt: maxAngle, startAt: maxAngle, tauAt: last * longestTau}
	grid := profile.scan(lower[tauAt], upper[tauAt])
	best := profile.refine(grid)
	shortest, longest := grid[0].rss, grid[len(grid)-1].rss
	alike := best.rss + 1e-9*profile.total // sums that differ by less are the same
	if best.start <= best.floor || longest <= alike {
		return nil, nil
	}
	if f := options.Floor; f != nil {
		lower[floorAt], upper[floorAt] = *f, *f
		lower[startAt] = *f
	}
	if shortest <= alike {
		// Nothing was read during the fall, so any shorter τ fits as well.
		best = grid[0]
		upper[tauAt] = lower[tauAt]
	}
	solution, err := LeastSquares(Exponential(), points, []float64{best.floor, best.start, best.tau},
		Settings{Lower: lower, Upper: upper, Clustered: options.Clustered})
	if err != nil {
		return nil, err
	}
	if τ := &solution.Parameters[tauAt]; τ.State == Fixed {
		τ.State = AtBound
	}
	return solution, nil
}

func newCurve(solution *Solution, options Options, first, last float64) *Curve {
	c := &Curve{First: first, Last: last, Solution: solution, Falls: len(solution.Parameters) > 1}
	if c.Falls {
		c.Floor, c.Start, c.Tau = solution.Parameters[floorAt], solution.Parameters[startAt], solution.Parameters[tauAt]
	} else {
		names := Exponential().Parameters
		c.Floor = Parameter{Name: names[floorAt], Value: math.NaN(), SE: math.NaN(), State: Undetermined}
		if options.Floor != nil {
			c.Floor.Value, c.Floor.State = *options.Floor, Fixed
		}
		c.Start = solution.Parameters[0]
		c.Start.Name = names[startAt]
		c.Tau = Parameter{Name: names[tauAt], Value: math.Inf(1), SE: math.NaN(), State: Undetermined}
	}
	c.Notes = c.notes()
	return c
}
