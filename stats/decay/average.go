package decay

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// AverageCrossing is the time to a threshold as several curves tell it.
type AverageCrossing struct {
	Crossing

	// Crosses, NotReached and BelowFromStart are the weights of the curves by
	// their outcome; they sum to 1. The Crossing's Outcome is the heaviest.
	Crosses, NotReached, BelowFromStart float64

	Notes []string
}

// TimeTo returns the time to a threshold, in degrees, averaged over the curves
// that come down to it, with their weights w made to sum to 1 among these:
//
//	T = ∑ wᵢ Tᵢ,  SE = ∑ wᵢ √(SEᵢ² + (Tᵢ − T)²)
//
// so that it holds how far the curves differ as well as how little each knows.
// Limits are T e^(± z S/T), where S is SE with each SEᵢ multiplied by tᵢ/z, the
// quantile of its curve's Student's distribution over the normal one.
//
// Curves that never come down, or start below, have no time to average: their
// weight is told beside it, and if they are the heavier, Time is as in Crossing
// and has no limits. SE and limits are NaN if a curve of weight above 0.001
// that crosses has none.
//
// A threshold that is not an angle of 0 to 180 degrees and a level outside
// (0, 1) are errors.
//
// Sources: Burnham and Anderson, Sociological Methods & Research 33 (2004)
// 261–304, equation 4, for SE; their Model Selection and Multimodel Inference,
// 2nd ed. (2002) section 4.3.3, for the limits.
func (c *Comparison) TimeTo(threshold, level float64) (AverageCrossing, error) {
	var a AverageCrossing
	var parts []part
	for _, f := range c.Fits {
		x, err := f.Curve.TimeTo(threshold, level)
		if err != nil {
			return AverageCrossing{}, err
		}
		switch x.Outcome {
		case NotReached:
			a.NotReached += f.Weight
		case BelowFromStart:
			a.BelowFromStart += f.Weight
		default:
			a.Crosses += f.Weight
			parts = append(parts, part{f.Weight, x.Time, x.SE, studentQuantile(level, f.Curve.Solution.limitDF())})
		}
	}
	a.Crossing = Crossing{Threshold: threshold, SE: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
	first, last := c.Best().First, c.Best().Last
	switch heaviest := max(a.Crosses, a.NotReached, a.BelowFromStart); heaviest {
	case a.Crosses:
		a.Outcome = Crosses
		a.average(parts, level)
		a.Extrapolated = a.Time < first || a.Time > last
	case a.NotReached:
		a.Outcome, a.Time, a.Extrapolated = NotReached, math.Inf(1), true
	default:
		a.Outcome, a.Extrapolated = BelowFromStart, first > 0
	}
	return a, nil
}

// part is what one curve contributes to an average.
type part struct{ weight, value, se, t float64 }

// littleWeight is that of curves whose missing error counts for nothing.
const littleWeight = 0.001

func (a *AverageCrossing) average(parts []part, level float64) {
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	var widened float64
	a.Time, a.SE, widened = average(parts, z)
	reach := math.Exp(z * widened / a.Time)
	a.Lower, a.Upper = a.Time/reach, a.Time*reach
	if a.NotReached >= littleWeight {
		a.Notes = append(a.Notes, fmt.Sprintf("curves of weight %.2g never come down to %g: the time is the average of the others", a.NotReached, a.Threshold))
	}
	if a.BelowFromStart >= littleWeight {
		a.Notes = append(a.Notes, fmt.Sprintf("curves of weight %.2g lie below %g from the start: the time is the average of the others", a.BelowFromStart, a.Threshold))
	}
}

// average returns the weighted mean of parts, its unconditional standard error,
// and that with each part's own error widened by t/z.
func average(parts []part, z float64) (mean, se, widened float64) {
	total := 0.0
	for _, p := range parts {
		total += p.weight
		mean += p.weight * p.value
	}
	mean /= total
	for _, p := range parts {
		own, share := p.se, p.weight/total
		if math.IsNaN(own) && share < littleWeight {
			own = 0
		}
		se += share * math.Hypot(own, p.value-mean)
		widened += share * math.Hypot(own*p.t/z, p.value-mean)
	}
	return mean, se, widened
}
