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
	missedBaseline          = 0.08 // share of vehicles that don't come back for months
	unplannedDecon          = 0.93 // share of failed readings that get their decon wash
	returnsToConfirm        = 0.95 // share of owners who come back soon when asked to
	soonestReturn           = 14
	latestReturn            = 28
	lateIntake              = 0.17 // share of vehicles enrolled long after coating
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
		return stay{applied: intake - c.days(91, 304), enrolled: intake, firstCheckup: intake, late: true}
	}
	first := intake + c.days(8, 21)
	if c.happens(missedBaseline) {
		first = intake + c.days(150, 390)
	}
	return stay{applied: intake, enrolled: intake, firstCheckup: first}
}

// appointment is a planned checkup.
type appointment struct {
	day   study.Day
	decon bool // a decontamination wash is due, whatever the readings say
}

// next plans the checkup after one that was held. A fail that awaits its
// confirmation brings the vehicle back soon, for a decontamination wash and a
// second reading; else the vehicle comes when it comes.
func (h *history) next(after appointment, last study.Day) (a appointment, more bool) {
	if h.awaitsConfirmation() && h.happens(returnsToConfirm) {
		a = appointment{after.day + h.days(soonestReturn, latestReturn), true}
		return a, a.day <= last
	}
	if after.decon {
		h.untilDecon = 3 + h.IntN(2)
	}
	h.untilDecon--
	a = appointment{after.day + h.gap(h.shop, after.day), h.untilDecon == 0}
	return a, a.day <= min(last, lastRound())
}

// awaitsConfirmation reports whether a patch has failed conclusively, but not
// often enough to count as spent.
func (h *history) awaitsConfirmation() bool {
	return slices.ContainsFunc(h.vehicle.Patches, func(p study.Patch) bool {
		return h.coated(p) && study.DefaultProtocol().Derive(h.vehicle, p).Decided.Pending > 0
	})
}

// gap draws the days from one wash to the next.
func (c chance) gap(s shop, from study.Day) study.Day {
	days := c.days(shortestGap, longestGap)
	if c.happens(skipped) {
		days += c.days(shortestSkip, longestSkip)
	}
	if s.salted(from + days) {
		days += c.days(0, mostWinterDelay)
	}
	return days
}
