package reports

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/survival"
	"beadspan/study"
)

// MoreFollowUp is how much more follow-up is likely to decide a claim.
type MoreFollowUp struct {
	Vehicles int     // more, coated and checked as those of the study are
	Months   float64 // for which each is followed, or until its patches are spent
	// VehicleMonths is the product: what it takes at most.
	VehicleMonths float64
}

const (
	// likelyDecided is how likely it is to be that the follow-up decides.
	likelyDecided = 0.8
	// mostMore is up to how many times what is known now a number is told. House
	// rule: who would have to watch twenty times as many vehicles is better told
	// that the share lies too near.
	mostMore = 20
)

// planMore says how much more follow-up would decide an end that isn't.
func (g claimGroup) planMore(end *ClaimEnd) error {
	switch end.Basis {
	case ByEstimate:
		ratio, known := decidingRatio(*end, g.options.Level)
		if !known {
			end.TooNear = true
			return nil
		}
		end.More = newMore(g.worth(end.Months)*(ratio-1), end.Months)
	case ByCount:
		return g.planCount(end)
	case ByLastSeen, ByNothing: // what isn't known can't be planned by
	}
	return nil
}

// decidingRatio is how many times as much must be known for a decision, either
// way, to be as likely as likelyDecided. known is false where that is more than
// mostMore times as much again.
//
// On the scale x = asin √share, on which the spread of an estimate doesn't depend
// on the share, let σ be the standard error now and d how far the estimate lies
// from what is promised. What is not yet known of the truth is taken to be normal
// about the estimate. From r times as much the estimate will then be normal about
// its present value, with variance σ² (1 − 1/r), and decide where it is further
// than z σ/√r from what is promised:
//
//	P = Φ((d − z σ/√r)/s) + Φ((−d − z σ/√r)/s),  s = σ √(1 − 1/r)
//
// σ is taken from the limits. It supposes that more vehicles tell as much each as
// the present ones, and that shares and limits behave as in large samples: it is
// good for the order of magnitude.
//
// Source: predictive power, Spiegelhalter, Freedman and Blackburn, Control. Clin.
// Trials 7 (1986) 8–17 (from memory).
func decidingRatio(end ClaimEnd, level float64) (ratio float64, known bool) {
	x := func(share float64) float64 { return math.Asin(math.Sqrt(share)) }
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	σ := (x(end.Limits.High) - x(end.Limits.Low)) / (2 * z)
	d := math.Abs(x(end.Share.Share)-x(end.Promised)) / σ
	decides := func(r float64) bool {
		s := math.Sqrt(1 - 1/r)
		Φ := distuv.UnitNormal.CDF
		return Φ((d-z/math.Sqrt(r))/s)+Φ((-d-z/math.Sqrt(r))/s) >= likelyDecided
	}
	low, high := 1.0, 1.0+mostMore
	if !decides(high) {
		return 0, false
	}
	for high-low > 1e-6*high {
		if mid := (low + high) / 2; decides(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high, true
}

// planCount looks for how many vehicles would support the claim if as few of them
// failed as did so far. Where as many failed as the claim allows none would.
func (g claimGroup) planCount(end *ClaimEnd) error {
	held, n := float64(end.Held), float64(end.Counted)
	if held/n <= end.Promised {
		end.TooNear = true
		return nil
	}
	for more := 1; float64(more) <= mostMore*n; more++ {
		of := n + float64(more)
		low, _, err := survival.CountLimits(held/n*of, of, g.options.Level)
		if err != nil {
			return err
		}
		if low >= end.Promised {
			end.More = newMore(float64(more), end.Months)
			return nil
		}
	}
	end.TooNear = true
	return nil
}

// newMore rounds up: to whole vehicles, above 20 to the next multiple of 5, above
// 100 to two digits, and to whole months.
func newMore(vehicles, months float64) *MoreFollowUp {
	step := 1.0
	for vehicles/step > 100 {
		step *= 10
	}
	if step == 1 && vehicles > 20 {
		step = 5
	}
	m := &MoreFollowUp{Vehicles: int(step * math.Ceil(vehicles/step-1e-9)), Months: math.Ceil(months)}
	m.VehicleMonths = float64(m.Vehicles) * m.Months
	return m
}

// moreFollowUp is what decides the claim as a whole: what the end takes that
// needs most, since all must hold.
func (row *ClaimRow) moreFollowUp() *MoreFollowUp {
	var most *MoreFollowUp
	for _, end := range row.Ends {
		switch {
		case row.Verdict != study.CannotTell || end.Verdict != study.CannotTell:
		case end.More == nil:
			return nil
		case most == nil || end.More.VehicleMonths > most.VehicleMonths:
			most = end.More
		}
	}
	return most
}
