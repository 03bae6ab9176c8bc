package simulate

import (
	"fmt"
	"math"
	"slices"

	"beadspan/study"
)

// history is a vehicle as it is being simulated: its records, and the truth
// behind them.
type history struct {
	chance
	shop shop
	names
	stay
	vehicle    study.Vehicle
	decays     map[study.ID]decay     // by patch
	readUntil  map[study.ID]study.Day // the last day on which the patch is read
	lastDecon  study.Day
	untilDecon int // checkups until a decontamination wash is due
}

// names are the records that vehicles refer to.
type names struct {
	coatings map[string]study.ID // by code
	people   map[string]study.ID
}

// vehicleHistory simulates the number-th vehicle of a shop. A vehicle that is
// turned away at intake, all its coatings having failed already, is drawn anew.
func vehicleHistory(c chance, s shop, number int, n names) history {
	for {
		h := history{chance: c, shop: s, names: n, stay: c.stay()}
		h.vehicle = study.Vehicle{
			ID:        study.NewID(),
			Code:      fmt.Sprintf("%s%03d", s.letter, number),
			SiteID:    s.site.ID,
			Enrolled:  h.enrolled,
			Garage:    draw(c, s.garages),
			KmPerYear: new(rounded(12_000*math.Exp(c.normal(0, 0.5)), 500)),
		}
		h.coat(number <= s.controls)
		h.live()
		if slices.ContainsFunc(h.vehicle.Patches, h.coated) {
			return h
		}
	}
}

// coat puts coatings on panels of the vehicle, and leaves one bare on some.
func (h *history) coat(withControl bool) {
	n := draw(h.chance, patchesPerVehicle())
	chosen := h.products(n)
	if withControl {
		chosen = append(chosen, products()[3])
	}
	h.decays, h.readUntil = map[study.ID]decay{}, map[study.ID]study.Day{}
	vehicle := h.normal(0, vehicleSD)
	for i, on := range h.panels(len(chosen)) {
		job := h.job(h.shop, h.applied)
		p := study.Patch{
			ID:          study.NewID(),
			Code:        on.code,
			CoatingID:   h.coatings[chosen[i].code],
			Panel:       on.name,
			Orientation: on.orientation,
			Substrate:   draw(h.chance, substrates()),
			Finish:      draw(h.chance, finishes()),
			Applied:     h.applied,
			Job:         job,
		}
		h.decays[p.ID] = h.decay(upbringing{
			product: chosen[i], climate: h.shop.climate(), orientation: on.orientation,
			garage: h.vehicle.Garage, job: job, vehicle: vehicle,
		})
		h.readUntil[p.ID] = lastDay()
		h.vehicle.Patches = append(h.vehicle.Patches, written(h.chance, p, chosen[i]))
	}
}

// written is the patch as it was written down: of some jobs only the date, of
// a bare patch nothing.
func written(c chance, p study.Patch, on product) study.Patch {
	if c.happens(jobUnwritten) || on.control {
		p.Job = study.Job{KeepDryH: p.Job.KeepDryH}
	}
	return p
}

// live follows the vehicle from its first checkup to its last.
func (h *history) live() {
	last := lastDay()
	if leaving, leaves := h.leaving(h.firstCheckup); leaves {
		last = leaving.Day
		h.vehicle.Care = append(h.vehicle.Care, leaving)
	}
	h.vehicle.Care = append(h.vehicle.Care, h.ownersCare(h.firstCheckup, last)...)
	for _, p := range h.vehicle.Patches {
		if end, ends := h.patchEnd(p, h.firstCheckup); ends && end.Day <= last {
			h.readUntil[p.ID] = end.Day
			h.vehicle.Care = append(h.vehicle.Care, end)
		}
	}
	h.lastDecon = h.applied
	for a, more := (appointment{h.firstCheckup, true}), h.firstCheckup <= last; more; a, more = h.next(a, last) {
		h.visit(a, a.day == h.firstCheckup)
		if a.day == h.firstCheckup && h.late {
			h.turnAway()
		}
	}
	inOrder(h.vehicle.Care)
}

// cleanDeg is the true angle of a patch without traffic film on a day.
func (h *history) cleanDeg(p study.Patch, day study.Day) float64 {
	clean := h.decays[p.ID].angleDeg(float64(day - p.InService()))
	return toppedDeg(clean, h.vehicle.Care, day)
}
