package decay

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// sumAt is the sum of squares of a curve, term by term.
func sumAt(points []Point, floor, start, tau float64) float64 {
	sum := 0.0
	for _, p := range points {
		d := p.Value - floor - (start-floor)*math.Exp(-p.Time/tau)
		sum += p.Weight * d * d
	}
	return sum
}

// anyPointsAndFloor draws points that are not few, and at times a floor.
func anyPointsAndFloor(t *rapid.T) ([]Point, *float64) {
	points := anyPoints(t)
	if len(points) < 4 {
		t.Skip("few points")
	}
	if !rapid.Bool().Draw(t, "fixed") {
		return points, nil
	}
	floor := float64(rapid.IntRange(0, 120).Draw(t, "floor"))
	return points, &floor
}

// exponentialAt is the best exponential decay of a given τ.
func exponentialAt(e *ends, tau float64) candidate {
	course := make([]float64, len(e.points))
	for i, p := range e.points {
		course[i] = math.Exp(-p.Time / tau)
	}
	return e.best(course, pace{scale: tau})
}

// No curve within the bounds may be better than the one solved for.
func TestEndsAreTheBestWithinBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, fixed := anyPointsAndFloor(t)
		tau := rapid.Float64Range(1, 5000).Draw(t, "tau")
		ends := newEnds(points, fixed)
		best := exponentialAt(ends, tau)

		slack := 1e-9 * (1 + ends.total)
		if sum := sumAt(points, best.floor, best.start, tau); math.Abs(sum-best.rss) > slack {
			t.Fatalf("%+v: the sum is %g", best, sum)
		}
		for range 50 {
			floor := rapid.Float64Range(0, 180).Draw(t, "other floor")
			if fixed != nil {
				floor = *fixed
			}
			start := floor + (180-floor)*rapid.Float64Range(0, 1).Draw(t, "other start")
			if sum := sumAt(points, floor, start, tau); sum < best.rss-slack {
				t.Fatalf("%+v, but from %g to %g it is %g", best, start, floor, sum)
			}
		}
	})
}

// Of all τ, the fit must find the one with the lowest sum.
func TestFitFindsTheLowestSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, fixed := anyPointsAndFloor(t)
		curve, err := Fit(points, Options{Floor: fixed})
		if err != nil {
			t.Skip(err)
		}
		if curve.Floor.State == Fixed {
			fixed = &curve.Floor.Value // held, as three times are too few to estimate it
		}
		ends := newEnds(points, fixed)
		for i := range 300 {
			tau := curve.Last * math.Pow(10, -3+float64(i)/50)
			if sum := exponentialAt(ends, tau).rss; sum < curve.Solution.RSS-1e-6*(1+ends.total) {
				t.Fatalf("τ = %g leaves %g, but tau = %g only %g", curve.Tau.Value, curve.Solution.RSS, tau, sum)
			}
		}
	})
}
