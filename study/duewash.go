package study

import (
	"fmt"
	"slices"
)

// lastWash is the last day on which the patch was washed in one of these ways,
// as the care log says or a reading at that stage, or a later one, shows.
func (d *dueVehicle) lastWash(f Followed, stage Stage, kinds ...CareKind) (last Day, found bool) {
	for _, c := range d.vehicle.Care {
		if (c.PatchID == nil || *c.PatchID == f.Patch.ID) && c.Day > f.Patch.Applied && slices.Contains(kinds, c.Kind) {
			last, found = max(last, c.Day), true
		}
	}
	for _, c := range d.vehicle.Checkups {
		for _, r := range c.Readings {
			if r.PatchID == f.Patch.ID && r.Stage.order() >= stage.order() {
				last, found = max(last, c.Day), true
			}
		}
	}
	return last, found
}

// orService is the last time, or the day on which service began where there
// was none since.
func orService(f Followed, last Day, found bool) Day {
	if found {
		return last
	}
	return f.Patch.InService()
}

// every is due so many days after the last time.
func every(days int, last Day, found bool) (since Day, why string, asked bool) {
	if days == 0 {
		return 0, "", false
	}
	return last + Day(days), fmt.Sprintf("every %d days; %s", days, lastTime(last, found)), true
}

// lastTime says when it was done last.
func lastTime(last Day, found bool) string {
	if found {
		return "last on " + last.String()
	}
	return fmt.Sprintf("none since service began on %s", last)
}

// nextDecon is the first day on which a decon wash is due by its interval, by
// the shorter one of the salt season, or because a season is over.
func (p CarePlan) nextDecon(last Day, found bool, salt SaltSeason) (since Day, why string, asked bool) {
	since, why, asked = every(p.DeconDays, last, found)
	sooner := func(day Day, reason string) {
		if !asked || day < since {
			since, why, asked = day, reason+"; "+lastTime(last, found), true
		}
	}
	if p.SaltDeconDays == 0 {
		return since, why, asked
	}
	if day, is := salt.NextDay(last + Day(p.SaltDeconDays)); is {
		sooner(day, fmt.Sprintf("every %d days in the salt season", p.SaltDeconDays))
	}
	if day, is := salt.NextEnd(last + seasonGapDays); is {
		sooner(day, fmt.Sprintf("the salt season is over on %s", day))
	}
	return since, why, asked
}
