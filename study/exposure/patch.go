package exposure

import (
	"fmt"
	"slices"

	"beadspan/study"
)

// daysPerYear is the mean length of a year, as study.DaysPerMonth has it.
const daysPerYear = 12 * study.DaysPerMonth

// leastWatchedDays is how long a patch must have been watched for its washes to
// be told as so many a year. House rule: judgement, no source.
const leastWatchedDays = 90

// Patch tells the loads of one patch from the day its service began.
type Patch struct {
	site     *Site
	vehicle  *study.Vehicle
	begin    study.Day
	vertical bool
	share    float64     // of ultraviolet
	washes   []study.Day // in order; nil when not known
	last     study.Day   // on which the patch or its vehicle was seen
}

// Patch follows a patch of a vehicle that lives at s.
//
// Washes are those that are known: logged as care of the vehicle or the patch,
// or shown by a reading after a wash. On one day a maintenance wash and a
// decontamination wash or an iron remover count as two. They are known from the day the vehicle
// was enrolled, and not at all where there is no trace of any.
func (s *Site) Patch(v *study.Vehicle, p *study.Patch, shelter Shelter) *Patch {
	e := &Patch{
		site: s, vehicle: v, begin: p.InService(),
		vertical: p.Orientation == study.Vertical, share: shelter.Share(v.Garage),
	}
	e.washes, e.last = washesOf(v, p.ID)
	return e
}

// Between is the load from the beginning of one day to the beginning of
// another, except that a wash on the second day counts and one on the first
// doesn't: what is read on a day is read after its washes. A day before service
// began counts as that on which it did, and a time that ends before it begins
// as none.
func (e *Patch) Between(from, to study.Day) Load {
	from = max(from, e.begin)
	to = max(to, from)
	amounts := new([7]float64) // one place for all that the load points to
	l := Load{Days: float64(to - from)}
	stretch := stretchOf(from, to)
	for i, c := range Clocks() {
		if c == Months {
			continue
		}
		if amount, known := e.over(c, stretch); known {
			amounts[i] = amount
			*l.field(c) = &amounts[i]
		}
	}
	return l
}

// Since is the load from the day service began up to so many days later, as
// Between counts it, on one clock; known is false where it isn't known.
func (e *Patch) Since(c Clock, days float64) (amount float64, known bool) {
	if c == Months {
		return days / study.DaysPerMonth, true
	}
	return e.over(c, stretchOf(e.begin, e.begin+study.Day(days)))
}

// Yearly is the load of an average year. Washes are those of the time in which
// the patch was watched, unknown below 90 days of it.
func (e *Patch) Yearly() Load {
	l := Load{Days: daysPerYear}
	for _, c := range Clocks() {
		if y := e.year(c); y != nil {
			*l.field(c) = new(y.total() * e.shareOf(c))
		}
	}
	if e.vehicle.KmPerYear != nil {
		l.Km = new(*e.vehicle.KmPerYear)
	}
	from := max(e.begin, e.vehicle.Enrolled)
	if days := float64(e.last - from); e.washes != nil && days >= leastWatchedDays {
		l.Washes = new(e.washesBetween(from, e.last) / days * daysPerYear)
	}
	return l
}

// Why says why a load isn't known from the day service began; empty where it is.
func (e *Patch) Why(c Clock) string {
	switch {
	case c.weather() && e.year(c) == nil:
		return e.site.why[c]
	case c == Km && e.vehicle.KmPerYear == nil:
		return "how far the vehicle drives in a year wasn't recorded"
	case c == Washes && e.washes == nil:
		return "no wash of the vehicle was ever logged"
	case c == Washes && e.begin < e.vehicle.Enrolled:
		return "the vehicle was enrolled after service began, and its washes before aren't known"
	}
	return ""
}

// stretch is the time from one day to another.
type stretch struct {
	from, to    study.Day
	first, last moment
}

func stretchOf(from, to study.Day) stretch {
	return stretch{from, to, momentOf(from), momentOf(to)}
}

// over is the load on a clock other than the calendar's.
func (e *Patch) over(c Clock, s stretch) (amount float64, known bool) {
	switch {
	case c.weather():
		y := e.year(c)
		if y == nil {
			return 0, false
		}
		return (y.until(s.last) - y.until(s.first)) * e.shareOf(c), true
	case c == Km:
		if e.vehicle.KmPerYear == nil {
			return 0, false
		}
		return float64(s.to-s.from) / daysPerYear * *e.vehicle.KmPerYear, true
	case c == Washes:
		if e.washes == nil || s.from < e.vehicle.Enrolled {
			return 0, false
		}
		return e.washesBetween(s.from, s.to), true
	}
	panic(fmt.Sprintf("exposure: there is no clock %q", c))
}

// year is the weather's load on a clock; nil where it isn't known or isn't the
// weather's.
func (e *Patch) year(c Clock) *year {
	switch c {
	case UV:
		if e.vertical {
			return e.site.vertical
		}
		return e.site.horizontal
	case FreezeThaw:
		return e.site.freezeThaw
	case Salt:
		return e.site.salt
	case Heat:
		return e.site.heat
	}
	return nil
}

func (e *Patch) shareOf(c Clock) float64 {
	if c == UV {
		return e.share
	}
	return 1
}

// washesBetween counts the washes after from, up to and with to.
func (e *Patch) washesBetween(from, to study.Day) float64 {
	first, _ := slices.BinarySearch(e.washes, from+1)
	last, _ := slices.BinarySearch(e.washes, to+1)
	return float64(last - first)
}

// washesOf lists the days of the known washes of a patch, one entry for each
// kind, and the last day on which its vehicle was seen.
func washesOf(v *study.Vehicle, patch study.ID) (washes []study.Day, last study.Day) {
	var maintenance, decon []study.Day
	for _, c := range v.Care {
		if c.PatchID != nil && *c.PatchID != patch {
			continue
		}
		last = max(last, c.Day)
		switch c.Kind {
		case study.MaintenanceWash:
			maintenance = append(maintenance, c.Day)
		case study.DeconWash, study.IronRemover: // a decon wash has the other in it
			decon = append(decon, c.Day)
		}
	}
	for _, c := range v.Checkups {
		last = max(last, c.Day)
		for _, r := range c.Readings {
			switch {
			case r.PatchID != patch:
			case r.Stage == study.Washed:
				maintenance = append(maintenance, c.Day)
			case r.Stage == study.Decon:
				decon = append(decon, c.Day)
			}
		}
	}
	washes = append(distinct(maintenance), distinct(decon)...)
	slices.Sort(washes)
	return washes, last
}

func distinct(days []study.Day) []study.Day {
	slices.Sort(days)
	return slices.Compact(days)
}
