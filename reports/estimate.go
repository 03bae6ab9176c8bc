package reports

import (
	"context"
	"errors"
	"math"

	"beadspan/stats/survival"
	"beadspan/study"
)

// estimate fills in what Turnbull's estimate and the bootstrap say.
func (row *LifeRow) estimate(ctx context.Context, s sample, o LifeOptions, work *tally) error {
	curve, err := survival.Turnbull(s.spans)
	var unsettled *survival.ConvergenceError
	if errors.As(err, &unsettled) {
		row.note("The estimate did not settle (%v).", err)
		return nil
	}
	if err != nil {
		return err
	}
	if month, n, thin := thinStart(curve, s); thin {
		row.note("Where the curve first falls, at month %s, only %s followed; the others enrolled later. So few would bend everything after, so no estimate is given.",
			months(month), count(n, "patch was", "patches were"))
		return nil
	}
	if !curve.Unique {
		row.note("Late enrolments leave more than one curve that fits equally well; one of them is shown.")
	}

	times := gridDays(row.LongestMonths)
	limits, err := survival.ClusterBootstrap(ctx, s.spans, survival.Resampling{
		Times:      times,
		Shares:     []float64{0.5},
		Level:      o.Level,
		Replicates: o.BootstrapReplicates,
		Seed:       o.Seed,
		Done:       work.one,
	})
	if err != nil {
		return err
	}
	if limits.Failed > 0 {
		row.note("%d of %d bootstrap replicates did not settle and are left out of the limits.", limits.Failed, o.BootstrapReplicates)
	}
	row.Median = medianOf(curve.Quantile(0.5), limits)
	shares, err := sharesOf(curve, s, times, limits, o.Level)
	if err != nil {
		return err
	}
	row.Curve = curveOf(curve, s, shares)
	row.At12 = shareAt(12, shares)
	row.At24 = shareAt(24, shares)
	if err := row.visitDate(s, o.Level); err != nil {
		return err
	}
	row.noteReach()
	return nil
}

// noMass is a mass below which an interval holds none but rounding.
const noMass = 1e-9

// thinStart looks for a fall of the curve at which fewer patches were followed
// than an estimate needs, while more were followed later: the trap of late
// enrolment, since the first few then decide the whole curve.
func thinStart(curve *survival.IntervalCurve, s sample) (month float64, followed int, thin bool) {
	if s.late == 0 {
		return 0, 0, false
	}
	for _, v := range curve.Intervals {
		if v.Mass < noMass || math.IsInf(v.Upper, 1) {
			continue
		}
		if n := s.atRisk(v.Upper); n < leastAtRisk && s.mostAtRiskFrom(v.Upper) >= leastAtRisk {
			return v.Upper / study.DaysPerMonth, n, true
		}
	}
	return 0, 0, false
}

// mostAtRiskFrom is the largest number of patches followed on any day after t.
// It can only rise on the day after an entry.
func (s sample) mostAtRiskFrom(t float64) int {
	most := 0
	for _, span := range s.spans {
		if span.Entry >= t {
			most = max(most, s.atRisk(span.Entry+1))
		}
	}
	return most
}

// gridDays is every half month up to the longest follow-up; it holds 12 and 24
// months when the follow-up does.
func gridDays(longestMonths float64) []float64 {
	var times []float64
	for half := 0; float64(half)/2 <= longestMonths; half++ {
		times = append(times, float64(half)/2*study.DaysPerMonth)
	}
	return times
}

func medianOf(q survival.IntervalQuantile, limits *survival.BootstrapResult) *Median {
	low, high := limits.Quantiles[0].Lower, limits.Quantiles[0].Upper
	return &Median{
		Months:  q.Time / study.DaysPerMonth,
		Between: Limits{q.Lower / study.DaysPerMonth, q.Upper / study.DaysPerMonth},
		Limits:  limitsOf(low/study.DaysPerMonth, high/study.DaysPerMonth),
	}
}

// sharesOf tells what is known of the share that still holds at each time, up
// to where knowledge ends.
func sharesOf(curve *survival.IntervalCurve, s sample, times []float64, limits *survival.BootstrapResult, level float64) ([]Share, error) {
	var shares []Share
	for i, t := range times {
		at := curve.At(t)
		if math.IsNaN(at.Survival) {
			break
		}
		low, high := limits.Survival[i].Lower, limits.Survival[i].Upper
		share := Share{t / study.DaysPerMonth, at.Survival, at.Lower, at.Upper, limitsOf(low, high)}
		switch {
		case t > 0 && at.Lower > 1-noMass:
			// Resampling vehicles of which none has a spent patch yet can't
			// show that one might.
			var err error
			if share.Limits, err = s.limitsOfNoneSpent(t, low, level); err != nil {
				return nil, err
			}
		case high < noMass:
			share.Limits = nil // nor, where all were spent, that one might hold
		}
		shares = append(shares, share)
	}
	return shares, nil
}

// limitsOfNoneSpent lowers the lower limit low of a share of 1 to what nobody
// failing allows; nil where no vehicle was followed for so long from the start.
func (s sample) limitsOfNoneSpent(t, low, level float64) (*Limits, error) {
	n := s.vehiclesHolding(t)
	if n == 0 {
		return nil, nil
	}
	atLeast, err := survival.NobodyFailed(n, level)
	if err != nil {
		return nil, err
	}
	return &Limits{min(low, atLeast), 1}, nil
}

func curveOf(curve *survival.IntervalCurve, s sample, shares []Share) *Curve {
	c := &Curve{Points: shares, sample: s}
	before := 1.0
	for _, v := range curve.Intervals {
		c.EndMonths = v.Upper / study.DaysPerMonth
		if math.IsInf(v.Upper, 1) {
			c.EndMonths = v.Lower / study.DaysPerMonth
			break
		}
		if v.Mass >= noMass {
			c.Stretches = append(c.Stretches, Stretch{
				FromMonths: v.Lower / study.DaysPerMonth,
				ToMonths:   v.Upper / study.DaysPerMonth,
				Before:     before,
				After:      v.After,
			})
		}
		before = v.After
	}
	return c
}

// shareAt picks the share at a whole month from those of half months; nil where
// knowledge ends before.
func shareAt(month int, shares []Share) *Share {
	if i := 2 * month; i < len(shares) {
		return &shares[i]
	}
	return nil
}

// visitDate shows how large the bias of taking the visit's day for the day of
// the end is.
func (row *LifeRow) visitDate(s sample, level float64) error {
	naive, err := survival.KaplanMeier(s.asIfSpentOn(), level)
	if err != nil {
		return err
	}
	median := naive.Quantile(0.5).Time / study.DaysPerMonth
	if math.IsInf(median, 1) || math.IsInf(row.Median.Months, 1) {
		return nil
	}
	row.VisitDate = &VisitDate{median, median - row.Median.Months}
	return nil
}
