package reports

import (
	"fmt"

	"beadspan/stats/decay"
	"beadspan/study"
)

// Finding says in one sentence when the angle falls to the threshold: of the
// typical patch, or of all on average where patches aren't told apart.
func (d Decay) Finding() string {
	angle := d.Coating + "’s mean clean contact angle"
	if d.Population != nil {
		angle = "The clean contact angle of " + d.Coating + "’s typical patch"
	}
	x, floor, start, last := d.fall()
	switch {
	case d.Curve == nil && len(d.Readings) == 1:
		return fmt.Sprintf("%s has one clean reading, too few for a curve", d.Coating)
	case d.Curve == nil && d.Population == nil:
		return fmt.Sprintf("%s: no curve fits its %s", d.Coating, count(len(d.Readings), "clean reading", "clean readings"))
	case d.Population == nil && !d.Curve.Falls:
		return fmt.Sprintf("%s did not fall within %s months", angle, months(last/study.DaysPerMonth))
	case x == nil:
		return fmt.Sprintf("%s fell from %s", angle, degrees(start))
	case x.Outcome == decay.NotReached:
		return fmt.Sprintf("%s levels off at %s, above the threshold of %s", angle, degrees(floor), degrees(x.Threshold))
	case x.Outcome == decay.BelowFromStart:
		return fmt.Sprintf("%s lay below %s from the start", angle, degrees(x.Threshold))
	case x.Extrapolated:
		return fmt.Sprintf("%s would fall to %s at %s months%s, but nobody was followed beyond %s",
			angle, degrees(x.Threshold), months(x.Time/study.DaysPerMonth), inBrackets(d.CrossingLimits()), months(last/study.DaysPerMonth))
	}
	return fmt.Sprintf("%s fell to %s at %s months%s", angle, degrees(x.Threshold), months(x.Time/study.DaysPerMonth), inBrackets(d.CrossingLimits()))
}

// fall is what the curve shown says: when it crosses the threshold, its ends,
// and the day of the last reading.
func (d Decay) fall() (crossing *decay.Crossing, floor, start, last float64) {
	switch {
	case d.Population != nil:
		p := d.Population
		return p.Crossing, p.Floor.Value, p.Start.Value, p.last
	case d.Curve != nil:
		return d.Crossing, d.Curve.Floor.Value, d.Curve.Start.Value, d.Curve.Last
	}
	return nil, 0, 0, 0
}

// CrossingLimits are the limits, in months, of the time at which the curve shown
// crosses the threshold; nil when not estimable.
func (d Decay) CrossingLimits() *Limits {
	crossing, _, _, _ := d.fall()
	return crossingLimits(crossing)
}

func crossingLimits(crossing *decay.Crossing) *Limits {
	if crossing == nil {
		return nil
	}
	return limitsOf(crossing.Lower/study.DaysPerMonth, crossing.Upper/study.DaysPerMonth)
}

// ShownNotes are what to know beside the curve shown.
func (d Decay) ShownNotes() []string {
	if d.Population != nil {
		return d.Population.Notes
	}
	if d.Unmodelled == "" {
		return d.Notes
	}
	return append([]string{d.Unmodelled + " The curve is one for all patches."}, d.Notes...)
}

// fallCell writes when a curve comes down to the threshold, for a table. last is
// the day of the last reading.
func fallCell(x *decay.Crossing, last float64) string {
	switch {
	case x == nil:
		return "–"
	case x.Outcome == decay.NotReached:
		return "never: floor above"
	case x.Outcome == decay.BelowFromStart:
		return "below from the start"
	case x.Extrapolated && x.Time > last:
		return "beyond " + months(last/study.DaysPerMonth) + " read"
	}
	return months(x.Time/study.DaysPerMonth) + inBrackets(crossingLimits(x))
}
