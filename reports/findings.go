package reports

import (
	"fmt"
	"math"
	"strings"

	"beadspan/stats/decay"
	"beadspan/study"
)

// Finding says in one sentence how long a row's patches last, for a title.
func (row LifeRow) Finding() string {
	who := row.Group.String()
	m := row.Median
	switch {
	case row.Patches == 0:
		return fmt.Sprintf("Nothing is known of %s yet", who)
	case m == nil && row.Spent == 0:
		return fmt.Sprintf("None of %s’s %s was spent within %s months", who, patches(row.Patches), months(row.LongestMonths))
	case m == nil:
		return fmt.Sprintf("%d of %s’s %s spent within %s months", row.Spent, who, patches(row.Patches), months(row.LongestMonths))
	case math.IsInf(m.Months, 1):
		return fmt.Sprintf("Fewer than half of %s’s patches were spent within the %s months followed", who, months(row.LongestMonths))
	}
	return fmt.Sprintf("Half of %s’s patches were spent by %s months%s", who, months(m.Months), inBrackets(m.Limits))
}

func inBrackets(l *Limits) string {
	if l == nil {
		return ""
	}
	return " (" + monthLimits(*l) + ")"
}

// Answer tells a customer's question, how long it lasts, in whole sentences:
// the estimate, how sure it is, and from how many.
func (row LifeRow) Answer() string {
	var b strings.Builder
	m := row.Median
	switch {
	case m == nil:
		b.WriteString(row.Finding() + ".")
		if n := row.NobodyFailed; n != nil {
			fmt.Fprintf(&b, " All %d vehicles followed for %g months still held then, so at least %s of such vehicles would, as far as so few can tell.",
				n.Vehicles, n.Months, percent(n.AtLeast))
		} else if row.Patches > 0 {
			b.WriteString(" That is too few for an estimate.")
		}
	case math.IsInf(m.Months, 1):
		b.WriteString(row.Finding() + ": half last longer than that, how much longer is not known.")
		if m.Limits != nil && !math.IsInf(m.Limits.Low, 1) {
			fmt.Fprintf(&b, " The lower limit for half is %s months.", months(m.Limits.Low))
		}
	default:
		fmt.Fprintf(&b, "%s.", row.Finding())
	}
	for _, s := range []*Share{row.At12, row.At24} {
		if s != nil {
			fmt.Fprintf(&b, " After %g months %s still repelled water%s.", s.Months, outOfTen(s.Share), tenthLimits(s.Limits))
		}
	}
	fmt.Fprintf(&b, " From %s on %s, %d of them spent, followed for %s months at the longest.",
		patches(row.Patches), vehicles(row.Vehicles), row.Spent, months(row.LongestMonths))
	return b.String()
}

// outOfTen writes a share as a natural frequency.
func outOfTen(share float64) string {
	switch n := math.Round(10 * share); {
	case n == 0:
		return "fewer than 1 of 20"
	case n == 10:
		return "at least 19 of 20"
	default:
		return fmt.Sprintf("about %.0f of 10", n)
	}
}

func tenthLimits(l *Limits) string {
	if l == nil {
		return ""
	}
	return " (likely " + percentLimits(*l) + ")"
}

// VisitDateSentence says what the mistake of taking the checkup's day for the
// day of the end would have cost; empty when that isn't known.
func (row LifeRow) VisitDateSentence() string {
	v := row.VisitDate
	if v == nil {
		return ""
	}
	side := "too long"
	if v.BiasMonths < 0 {
		side = "too short"
	}
	return fmt.Sprintf("%s: %s months, %.1f %s", row.Group, months(v.MedianMonths), math.Abs(v.BiasMonths), side)
}

// Finding says in one sentence when the mean angle falls to the threshold.
func (d Decay) Finding() string {
	switch {
	case d.Curve == nil:
		return fmt.Sprintf("%s: no curve fits its %s", d.Coating, count(len(d.Readings), "clean reading", "clean readings"))
	case !d.Curve.Falls:
		return fmt.Sprintf("%s’s mean clean contact angle did not fall within %s months", d.Coating, months(d.Curve.Last/study.DaysPerMonth))
	case d.Crossing == nil:
		return fmt.Sprintf("%s’s mean clean contact angle fell from %s", d.Coating, degrees(d.Curve.Start.Value))
	case d.Crossing.Outcome == decay.NotReached:
		return fmt.Sprintf("%s’s mean clean contact angle levels off at %s, above the threshold of %s",
			d.Coating, degrees(d.Curve.Floor.Value), degrees(*d.ThresholdDeg))
	case d.Crossing.Outcome == decay.BelowFromStart:
		return fmt.Sprintf("%s’s mean clean contact angle lay below %s from the start", d.Coating, degrees(*d.ThresholdDeg))
	case d.Crossing.Extrapolated:
		return fmt.Sprintf("%s’s mean clean contact angle would fall to %s at %s months%s, but nobody was followed beyond %s",
			d.Coating, degrees(*d.ThresholdDeg), months(d.Crossing.Time/study.DaysPerMonth), inBrackets(d.CrossingLimits()), months(d.Curve.Last/study.DaysPerMonth))
	}
	return fmt.Sprintf("%s’s mean clean contact angle fell to %s at %s months%s",
		d.Coating, degrees(*d.ThresholdDeg), months(d.Crossing.Time/study.DaysPerMonth), inBrackets(d.CrossingLimits()))
}

// CrossingLimits are the limits of the time of crossing in months; nil when
// not estimable.
func (d Decay) CrossingLimits() *Limits {
	if d.Crossing == nil {
		return nil
	}
	return limitsOf(d.Crossing.Lower/study.DaysPerMonth, d.Crossing.Upper/study.DaysPerMonth)
}
