package study

import (
	"fmt"
	"slices"
)

// dueVehicle is a vehicle with its coated patches, to find out what is due.
type dueVehicle struct {
	study   Study
	vehicle *Vehicle
	site    Site
	salt    SaltSeason
	horizon Horizon
	patches []Followed
}

// due lists what the vehicle is due for, the most pressing first.
func (d *dueVehicle) due() []Due {
	coated := d.coated()
	if len(coated) == 0 {
		return nil
	}
	if seen := d.lastSeen(); seen+SilentDays <= d.horizon.On {
		return []Due{{DueContact, seen + SilentDays, fmt.Sprintf("nothing recorded since %s: ask after it; log it as sold or lost if it is gone", seen), codesOf(coated)}}
	}
	var list []Due
	done := covered{}
	for _, kind := range DueKinds() {
		due, is := d.oldest(kind, kept(coated, func(f Followed) bool { return !done[kind][f.Patch.Code] }))
		if !is {
			continue
		}
		list = append(list, due)
		if due.Since <= d.horizon.On {
			done.by(due)
		}
	}
	return list
}

// covered are the patches, by code, for which a kind of work that is due comes
// with another that is.
type covered map[DueKind]map[string]bool

// by marks what is done along with d.
func (c covered) by(d Due) {
	for _, kind := range d.Kind.brings() {
		if c[kind] == nil {
			c[kind] = map[string]bool{}
		}
		for _, code := range d.Patches {
			c[kind][code] = true
		}
	}
}

// brings lists what is done along with work of this kind: a decon wash has the
// iron remover and the wash in it.
func (k DueKind) brings() []DueKind {
	switch k {
	case DueSecondReading, DueConfirmation:
		return []DueKind{DueDeconWash, DueIronRemover, DueCheckup, DueWash}
	case DueDeconWash:
		return []DueKind{DueIronRemover, DueWash}
	}
	return nil
}

// coated are the patches whose coating is there and not spent.
func (d *dueVehicle) coated() []Followed {
	return kept(d.patches, func(f Followed) bool { return f.Span.Standing != Spent && f.Span.Standing != Ended })
}

// watched are the patches whose life a checkup still tells something of: under
// to_topper a topped patch has left.
func (d *dueVehicle) watched() []Followed {
	return kept(d.coated(), inStudy)
}

func inStudy(f Followed) bool { return f.Span.Ended == "" && !f.Span.Spent() }

// lastSeen is the last day of which anything is recorded.
func (d *dueVehicle) lastSeen() Day {
	seen := d.vehicle.Enrolled
	for _, c := range d.vehicle.Checkups {
		seen = max(seen, c.Day)
	}
	for _, c := range d.vehicle.Care {
		seen = max(seen, c.Day)
	}
	for _, p := range d.vehicle.Patches {
		seen = max(seen, p.Applied)
	}
	return seen
}

// oldest gathers the patches that are due for the kind within the horizon; day
// and reason are those of the one that has been due for longest.
func (d *dueVehicle) oldest(kind DueKind, patches []Followed) (due Due, is bool) {
	due.Kind = kind
	for _, f := range patches {
		since, why, asked := d.dueFor(kind, f)
		if !asked || since > d.horizon.On+Day(d.horizon.Ahead) {
			continue
		}
		if len(due.Patches) == 0 || since < due.Since {
			due.Since, due.Why = since, why
		}
		due.Patches = append(due.Patches, f.Patch.Code)
	}
	return due, len(due.Patches) > 0
}

// dueFor says when and why one patch is due for the kind; asked is false where
// it never will be.
func (d *dueVehicle) dueFor(kind DueKind, f Followed) (since Day, why string, asked bool) {
	plan := d.study.CarePlan
	switch kind {
	case DueSecondReading, DueConfirmation:
		return d.openQuestion(kind, f)
	case DueDeconWash:
		last, found := d.lastWash(f, Decon, DeconWash)
		return plan.nextDecon(orService(f, last, found), found, d.salt)
	case DueIronRemover:
		last, found := d.lastWash(f, Decon, IronRemover, DeconWash)
		return every(plan.IronDays, orService(f, last, found), found)
	case DueWash:
		last, found := d.lastWash(f, Washed, MaintenanceWash, DeconWash)
		return every(plan.WashDays, orService(f, last, found), found)
	case DueCheckup:
		return d.nextCheckup(f)
	}
	return 0, "", false
}

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

func codesOf(patches []Followed) []string {
	codes := make([]string, len(patches))
	for i, f := range patches {
		codes[i] = f.Patch.Code
	}
	return codes
}
