package reports

import (
	"context"
	"fmt"
	"math"

	"beadspan/stats/survival"
	"beadspan/study"
)

// ClaimEnd is one end of a claim: how many patches outlast so many months.
type ClaimEnd struct {
	End      End
	Months   float64
	Promised float64 // the share that must outlast them
	Verdict  study.Verdict
	Basis    Basis
	// Share is the estimate, with the limits of a table of life; nil where there
	// is none at that time.
	Share *Share
	// Limits are those that the verdict goes by: 0 and 1 on a side where nothing
	// is known.
	Limits Limits
	// Widened is set where so few vehicles were spent, or held, that the limits
	// are those of a count.
	Widened bool
	// Held of Counted vehicles were seen holding, where the basis is a count; the
	// others may have been spent by then.
	Held, Counted int
	// SeenMonths is the longest follow-up, where the basis is that.
	SeenMonths float64
	// Weibull is a second opinion, which the verdict doesn't go by; nil where there
	// is none.
	Weibull *Share
	// More is how much more follow-up would decide; nil where the end is decided,
	// or no number can be told. TooNear says that it is since the share lies so
	// near to what is promised.
	More    *MoreFollowUp
	TooNear bool
	// Waiting vehicles still hold and haven't been followed for so long yet; it
	// takes WaitingMonths, all together, to follow them on to then.
	Waiting       int
	WaitingMonths float64
}

// End names an end of a claim.
type End string

// The ends.
const (
	LowEnd  End = "low"
	HighEnd End = "high"
)

// Basis is what limits at an end rest on.
type Basis string

// The bases.
const (
	// ByEstimate: Turnbull's estimate at that time.
	ByEstimate Basis = "estimate"
	// ByCount: the exact limit of a count of vehicles, where too few were spent
	// for an estimate. It can support a claim, and contradicts none.
	ByCount Basis = "count"
	// ByLastSeen: the estimate at the end of the longest follow-up, which is
	// before that time. No more can hold later; it can contradict a claim only.
	ByLastSeen Basis = "last seen"
	// ByNothing: nobody was followed for so long, and too few were spent.
	ByNothing Basis = "nothing"
)

// fewDeciding vehicles, spent or holding, are too few for limits from
// resampling: they then are no narrower than those of a count. House rule, from
// simulated fleets (BenchmarkClaims).
const fewDeciding = 10

// fill judges an end.
func (g claimGroup) fill(ctx context.Context, end *ClaimEnd) error {
	var err error
	end.Limits = Limits{0, 1}
	switch {
	case g.row.Curve != nil:
		err = g.estimateAt(ctx, end)
	case g.row.LongestMonths >= end.Months:
		err = g.countAt(end)
	default:
		end.Basis = ByNothing
	}
	if err != nil {
		return err
	}
	end.Verdict = study.JudgeShare(end.Limits.Low, end.Limits.High, end.Promised)
	end.Waiting, end.WaitingMonths = g.waiting(end.Months)
	if end.Verdict == study.CannotTell {
		return g.planMore(end)
	}
	return nil
}

// estimateAt goes by the curve.
func (g claimGroup) estimateAt(ctx context.Context, end *ClaimEnd) (err error) {
	points := g.row.Curve.Points
	if share, known := shareBetween(points, end.Months); known {
		end.Basis, end.Share = ByEstimate, &share
		end.Limits, end.Widened, err = g.limitsOf(share)
		return err
	}
	end.Basis, end.SeenMonths = ByLastSeen, g.row.LongestMonths
	last := points[len(points)-1]
	if g.row.Curve.endShare() < noMass {
		if last, err = g.noneLeft(ctx, end.Months); err != nil {
			return err
		}
	}
	limits, widened, err := g.limitsOf(last)
	end.Limits.High, end.Widened = limits.High, widened
	return err
}

// noneLeft is the share at a time by which all are known to be spent, which a
// table of life doesn't hold: its months end before.
func (g claimGroup) noneLeft(ctx context.Context, months float64) (Share, error) {
	limits, err := survival.ClusterBootstrap(ctx, g.spans, survival.Resampling{
		Times: []float64{months * study.DaysPerMonth}, Level: g.options.Level, Replicates: g.options.BootstrapReplicates, Seed: g.options.Seed,
	})
	if err != nil {
		return Share{}, fmt.Errorf("limits where none are left: %w", err)
	}
	return Share{Months: months, Limits: &Limits{0, limits.Survival[0].Upper}}, nil
}

// shareBetween is the share at a time, from those at half months. Between two of
// these it lies between theirs, and so do its limits.
func shareBetween(points []Share, months float64) (share Share, known bool) {
	i := int(2 * months)
	if i >= len(points) || (points[i].Months < months && i+1 >= len(points)) {
		return Share{}, false
	}
	share = points[i]
	if share.Months == months {
		return share, true
	}
	next := points[i+1]
	part := (months - share.Months) / (next.Months - share.Months)
	share.Months = months
	share.Share += part * (next.Share - share.Share)
	share.AtLeast = next.AtLeast
	if share.Limits != nil && next.Limits != nil {
		share.Limits = &Limits{next.Limits.Low, share.Limits.High}
	} else {
		share.Limits = nil
	}
	return share, true
}

// limitsOf are the limits of a share that a verdict goes by.
//
// Resampling vehicles shows too little where only a few of them make the share
// differ from 0 or 1. There the limits are no narrower than exact ones of a count
// of so many vehicles as the group is worth at that time: the lower as where
// nobody failed, one-sided at the level; the upper at half the chance of error,
// since either end contradicts a claim.
func (g claimGroup) limitsOf(share Share) (limits Limits, widened bool, err error) {
	limits = Limits{0, 1}
	switch {
	case share.Limits != nil:
		limits = *share.Limits
	case share.AtMost < noMass:
		limits = Limits{0, 0} // all were spent
	default:
		return limits, false, nil
	}
	days := share.Months * study.DaysPerMonth
	if share.AtLeast > 1-noMass || min(g.vehiclesSpentBy(days), g.vehiclesHoldingAt(days)) >= fewDeciding {
		return limits, false, nil
	}
	n := g.worth(share.Months)
	low, _, err := survival.CountLimits(math.Min(n, share.AtLeast*n), n, g.options.Level)
	if err != nil {
		return limits, false, err
	}
	_, high, err := survival.CountLimits(math.Min(n, share.AtMost*n), n, (1+g.options.Level)/2)
	if err != nil {
		return limits, false, err
	}
	counted := Limits{math.Min(limits.Low, low), math.Max(limits.High, high)}
	return counted, counted != limits, nil
}

// countAt goes by how many vehicles held. A vehicle of which a patch may have
// been spent by then counts as spent, and one that was followed from later on
// only where it was: so the limit is, if anything, too low.
func (g claimGroup) countAt(end *ClaimEnd) (err error) {
	end.Basis = ByCount
	end.Held, end.Counted = g.countHolding(end.Months * study.DaysPerMonth)
	if end.Held == 0 {
		end.Basis = ByNothing
		return nil
	}
	end.Limits.Low, _, err = survival.CountLimits(float64(end.Held), float64(end.Counted), g.options.Level)
	return err
}
