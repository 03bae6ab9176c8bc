package study

import (
	"cmp"
	"slices"
)

// Due is something that a vehicle is due for.
type Due struct {
	Kind DueKind `json:"kind"`
	// Since is the day on which it fell due, or will.
	Since Day `json:"since"`
	// Why says in plain words what makes it due.
	Why string `json:"why"`
	// Patches are the codes of those concerned.
	Patches []string `json:"patches"`
}

// DueKind says what a vehicle is due for.
type DueKind string

// What a vehicle may be due for, the most pressing first.
const (
	// DueSecondReading: a patch failed last under what may be traffic film.
	// Decon wash, then read it again.
	DueSecondReading DueKind = "second_reading"
	// DueConfirmation: a patch failed clean, and only the next clean reading
	// says whether that counts.
	DueConfirmation DueKind = "confirmation"
	DueDeconWash    DueKind = "decon_wash"
	DueIronRemover  DueKind = "iron_remover"
	DueCheckup      DueKind = "checkup"
	DueWash         DueKind = "maintenance_wash"
	// DueContact: nobody has seen the vehicle for long. Ask after it, and log
	// it as sold or lost if it is gone: until then its care isn't asked for.
	DueContact DueKind = "contact"
)

// DueKinds lists what may be due, the most pressing first.
func DueKinds() []DueKind {
	return []DueKind{DueSecondReading, DueConfirmation, DueDeconWash, DueIronRemover, DueCheckup, DueWash, DueContact}
}

// Fixed times, common practice, no source.
const (
	// SilentDays without a record are a reason to ask after a vehicle.
	SilentDays = 365
	// FirstReadingDays after service begins a patch should have been read: until
	// a first proof that it held, nothing can be learned of it.
	FirstReadingDays = 30
	// seasonGapDays before the end of the salt season a decon wash does for
	// the end as well.
	seasonGapDays = 30
)

// VehicleDue is what one vehicle is due for.
type VehicleDue struct {
	Vehicle *Vehicle
	Site    Site
	Due     []Due // the most pressing first
	// Watched are the patches that a checkup still tells something of.
	Watched []Followed
	// NextCheckup is the day on which the plan's interval asks for a checkup of
	// the first of them; nil where it never does.
	NextCheckup *Day
}

// Horizon says from when to when something must fall due to be told.
type Horizon struct {
	// On is today: records of later days are not looked at.
	On Day
	// Ahead is how many days from then on to look ahead; 0 for what is due now.
	Ahead int
}

// DueIn lists the vehicles of the fleet that are due for something under the
// study's protocol and care plan, the most urgent first: open questions about a
// patch, then care and checkups by how long they have been due, last the
// vehicles that nobody has seen for long. salt tells the season of a site.
func (f *Fleet) DueIn(st Study, salt func(Site) SaltSeason, h Horizon) []VehicleDue {
	byVehicle := map[*Vehicle]*dueVehicle{}
	var order []*dueVehicle
	now := f.Until(h.On)
	for _, followed := range now.Follow(st.Protocol) {
		if followed.Coating.Control {
			continue
		}
		d, known := byVehicle[followed.Vehicle]
		if !known {
			d = &dueVehicle{study: st, vehicle: followed.Vehicle, site: followed.Site, salt: salt(followed.Site), horizon: h}
			byVehicle[followed.Vehicle] = d
			order = append(order, d)
		}
		d.patches = append(d.patches, followed)
	}
	var list []VehicleDue
	for _, d := range order {
		if due := d.due(); len(due) > 0 {
			list = append(list, VehicleDue{d.vehicle, d.site, due, d.watched(), d.firstCheckup()})
		}
	}
	slices.SortStableFunc(list, VehicleDue.compare)
	return list
}

// compare puts the more urgent vehicle first.
func (v VehicleDue) compare(other VehicleDue) int {
	return cmp.Or(cmp.Compare(v.Due[0].Kind.urgency(), other.Due[0].Kind.urgency()),
		cmp.Compare(v.earliest(), other.earliest()),
		cmp.Compare(v.Vehicle.Code, other.Vehicle.Code))
}

// urgency ranks open questions first, care and checkups alike after them, and
// silence last.
func (k DueKind) urgency() int {
	switch k {
	case DueSecondReading:
		return 0
	case DueConfirmation:
		return 1
	case DueContact:
		return 3
	}
	return 2
}

func (v VehicleDue) earliest() Day {
	first := v.Due[0].Since
	for _, d := range v.Due {
		first = min(first, d.Since)
	}
	return first
}

// Until is the fleet as it was known at the end of a day: without the vehicles,
// patches, checkups and care of later days.
func (f *Fleet) Until(day Day) *Fleet {
	now := *f
	now.Vehicles = make([]Vehicle, 0, len(f.Vehicles))
	for _, v := range f.Vehicles {
		if v.Enrolled > day {
			continue
		}
		v.Patches = kept(v.Patches, func(p Patch) bool { return p.Applied <= day })
		v.Checkups = kept(v.Checkups, func(c Checkup) bool { return c.Day <= day })
		v.Care = kept(v.Care, func(c Care) bool { return c.Day <= day })
		now.Vehicles = append(now.Vehicles, v)
	}
	return &now
}

// kept returns those of list that hold, which is list itself for all.
func kept[T any](list []T, holds func(T) bool) []T {
	not := func(x T) bool { return !holds(x) }
	if !slices.ContainsFunc(list, not) {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), not)
}
