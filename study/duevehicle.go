package study

import "fmt"

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

// coated are the patches whose coating is there and not spent.
func (d *dueVehicle) coated() []Followed {
	return kept(d.patches, func(f Followed) bool { return f.Span.Standing != Spent && f.Span.Standing != Ended })
}

// watched are the patches whose life a checkup still tells something of: under
// to_topper a topped patch has left.
func (d *dueVehicle) watched() []Followed {
	return kept(d.coated(), inStudy)
}

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

func codesOf(patches []Followed) []string {
	codes := make([]string, len(patches))
	for i, f := range patches {
		codes[i] = f.Patch.Code
	}
	return codes
}
