package simulate

import (
	"slices"

	"beadspan/study"
)

// How often vehicles come.
const (
	shortestGap, longestGap = 35, 63 // days between washes
	skipped                 = 0.08   // share of washes that are missed, leaving a long gap
	shortestSkip            = 45
	longestSkip             = 110
	mostWinterDelay         = 35
	missedBaseline          = 0.06 // share of vehicles that don't come back for months
	unplannedDecon          = 0.93 // share of failed readings that get their decon wash
	lateIntake              = 0.15 // share of vehicles enrolled long after coating
)

// stay is a vehicle's time in the study.
type stay struct {
	applied, enrolled study.Day
	firstCheckup      study.Day
	late              bool
}

// stay draws when a vehicle is coated and taken in.
func (c chance) stay() stay {
	intake := c.dayWithin(firstDay(), lastIntake())
	if c.happens(lateIntake) {
		return stay{applied: intake - c.days(90, 300), enrolled: intake, firstCheckup: intake, late: true}
	}
	first := intake + c.days(8, 21)
	if c.happens(missedBaseline) {
		first = intake + c.days(130, 330)
	}
	return stay{applied: intake, enrolled: intake, firstCheckup: first}
}

// appointment is a planned checkup.
type appointment struct {
	day   study.Day
	decon bool // a decontamination wash is due, whatever the readings say
}

// appointments draws a vehicle's checkups from its first until its last day. The
// first is of a decontaminated panel.
func (c chance) appointments(s shop, first, last study.Day) []appointment {
	var all []appointment
	untilDecon := 0
	for day := first; day <= last; day += c.gap(s, day) {
		all = append(all, appointment{day: day, decon: untilDecon == 0})
		if untilDecon == 0 {
			untilDecon = 3 + c.IntN(2)
		}
		untilDecon--
	}
	return all
}

// gap draws the days from one wash to the next.
func (c chance) gap(s shop, from study.Day) study.Day {
	days := c.days(shortestGap, longestGap)
	if c.happens(skipped) {
		days += c.days(shortestSkip, longestSkip)
	}
	if slices.Contains(s.coldMonths, (from + days).Time().Month()) {
		days += c.days(0, mostWinterDelay)
	}
	return days
}
