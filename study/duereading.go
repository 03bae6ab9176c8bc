package study

import "fmt"

// inStudy reports whether the life of the patch is still an open question.
func inStudy(f Followed) bool { return f.Span.Ended == "" && !f.Span.Spent() }

// nextCheckup is due after the plan's interval, and soon where a patch was
// never read. Patches out of the study need none.
func (d *dueVehicle) nextCheckup(f Followed) (since Day, why string, asked bool) {
	days := d.study.CarePlan.CheckupDays
	if days == 0 || !inStudy(f) {
		return 0, "", false
	}
	visits := d.study.Protocol.visits(d.vehicle.Checkups, f.Patch.ID)
	if len(visits) == 0 {
		first := max(f.Patch.InService(), d.vehicle.Enrolled)
		return first + Day(min(days, FirstReadingDays)), fmt.Sprintf("never read since %s", first), true
	}
	last := visits[len(visits)-1].day
	return last + Day(days), fmt.Sprintf("every %d days; last read on %s", days, last), true
}

// firstCheckup is the first day on which a patch is due for a checkup.
func (d *dueVehicle) firstCheckup() *Day {
	var first *Day
	for _, f := range d.watched() {
		if since, _, asked := d.nextCheckup(f); asked && (first == nil || since < *first) {
			first = &since
		}
	}
	return first
}

// openQuestion tells a patch in doubt, whose last fail may be traffic film, from
// one whose clean fail awaits its confirmation.
func (d *dueVehicle) openQuestion(kind DueKind, f Followed) (since Day, why string, asked bool) {
	if f.Span.Standing != Doubtful || !inStudy(f) {
		return 0, "", false
	}
	visits := d.study.Protocol.visits(d.vehicle.Checkups, f.Patch.ID)
	clean, unclean := lastFails(visits)
	switch {
	case kind == DueConfirmation && clean != nil:
		return *clean, fmt.Sprintf("failed clean on %s: the next clean reading decides", *clean), true
	case kind == DueSecondReading && clean == nil && unclean != nil:
		return *unclean, fmt.Sprintf("failed on %s before a decon wash: it may be traffic film", *unclean), true
	}
	return 0, "", false
}

// lastFails returns the first clean and the first unclean fail since the last
// proof of holding; nil where there is none.
func lastFails(visits []visit) (clean, unclean *Day) {
	for _, v := range visits {
		switch v.outcome {
		case provesHolding:
			clean, unclean = nil, nil
		case provesSpent:
			clean = first(clean, v.day)
		case provesNothing:
			unclean = first(unclean, v.day)
		}
	}
	return clean, unclean
}

func first(known *Day, day Day) *Day {
	if known != nil {
		return known
	}
	return &day
}
