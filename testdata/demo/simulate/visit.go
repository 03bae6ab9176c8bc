package simulate

import (
	"slices"

	"beadspan/study"
)

// What is read at a visit.
const (
	readOnArrival  = 0.60 // share of visits: often nobody has the time
	readWhenWashed = 0.95
	turnedAway     = 0.50 // share of patches found failed at a late intake
)

// visit reads the vehicle's patches as driven in, after the maintenance wash
// and, where one is due or a reading asks for it, after a decontamination wash.
func (h *history) visit(a appointment, first bool) {
	patches := h.inSight(a.day)
	if len(patches) == 0 {
		return
	}
	by := h.shop.operators[h.IntN(len(h.shop.operators))]
	checkup := study.Checkup{ID: study.NewID(), Day: a.day, OperatorID: new(h.people[by.code])}
	h.log(study.MaintenanceWash, a.day, by)

	baseline := first && !h.late // a fresh panel needs no wash before it is read
	if !baseline && h.happens(readOnArrival) {
		checkup.Readings = append(checkup.Readings, h.readAll(patches, study.Arrival, a.day, by)...)
	}
	var washed []study.Reading
	if !baseline && (!a.decon || h.happens(readWhenWashed)) {
		washed = h.readAll(patches, study.Washed, a.day, by)
		checkup.Readings = append(checkup.Readings, washed...)
	}
	if a.decon || (h.anyLooksSpent(washed) && h.happens(unplannedDecon)) {
		h.log(study.DeconWash, a.day, by)
		h.lastDecon = a.day
		checkup.Readings = append(checkup.Readings, h.readAll(patches, study.Decon, a.day, by)...)
	}
	h.vehicle.Checkups = append(h.vehicle.Checkups, checkup)
	h.recoat(patches, a.day, by)
}

// inSight lists the patches that are still read on a day.
func (h *history) inSight(day study.Day) []study.Patch {
	var seen []study.Patch
	for _, p := range h.vehicle.Patches {
		if day <= h.readUntil[p.ID] {
			seen = append(seen, p)
		}
	}
	return seen
}

func (h *history) readAll(patches []study.Patch, stage study.Stage, day study.Day, by operator) []study.Reading {
	readings := make([]study.Reading, len(patches))
	for i, p := range patches {
		surface := h.cleanDeg(p, day) - h.traceDeg(h.shop, day)
		if stage != study.Decon {
			surface -= h.bondedFilmDeg(h.shop, day, h.lastDecon, p.Orientation)
		}
		if stage == study.Arrival {
			surface -= h.looseFilmDeg(h.shop, day, p.Orientation)
		}
		readings[i] = h.reading(p, stage, surface, by)
	}
	return readings
}

// anyLooksSpent reports whether a reading of a coated patch asks for a
// decontamination wash.
func (h *history) anyLooksSpent(readings []study.Reading) bool {
	return slices.ContainsFunc(readings, func(r study.Reading) bool {
		return looksSpent(r) && h.coated(h.patch(r.PatchID))
	})
}

func (h *history) coated(p study.Patch) bool {
	return p.CoatingID != h.coatings["BARE"]
}

func (h *history) patch(id study.ID) study.Patch {
	i := slices.IndexFunc(h.vehicle.Patches, func(p study.Patch) bool { return p.ID == id })
	return h.vehicle.Patches[i]
}

// looksSpent is what the operator sees: the mean angle or, without one, beads
// that have gone flat.
func looksSpent(r study.Reading) bool {
	if mean, measured := r.MeanAngleDeg(); measured {
		return mean < thresholdDeg()
	}
	return *r.BeadGrade < 3
}

// recoat lays a new coating on some of the patches that the shop knows to be
// spent. Their lives are over by then, so it hides none.
func (h *history) recoat(patches []study.Patch, day study.Day, by operator) {
	for _, p := range patches {
		spent := study.DefaultProtocol().Derive(h.vehicle, p).Standing == study.Spent
		if spent && h.coated(p) && h.happens(recoatedOnceSpent) {
			h.readUntil[p.ID] = day
			h.vehicle.Care = append(h.vehicle.Care, study.Care{
				ID: study.NewID(), PatchID: new(p.ID), Day: day, Kind: study.Recoat, OperatorID: new(h.people[by.code]),
			})
		}
	}
}

// turnAway drops most of the patches that failed at a late intake: nobody
// enrols a coating that has gone already.
func (h *history) turnAway() {
	intake := &h.vehicle.Checkups[0]
	h.vehicle.Patches = slices.DeleteFunc(h.vehicle.Patches, func(p study.Patch) bool {
		failed := slices.ContainsFunc(intake.Readings, func(r study.Reading) bool {
			return r.PatchID == p.ID && r.Stage == study.Decon && looksSpent(r)
		})
		if !failed || !h.coated(p) || !h.happens(turnedAway) {
			return false
		}
		h.forget(p.ID)
		return true
	})
}

// forget takes a patch's readings and care out of the records.
func (h *history) forget(patch study.ID) {
	intake := &h.vehicle.Checkups[0]
	intake.Readings = without(intake.Readings, patch)
	h.vehicle.Care = slices.DeleteFunc(h.vehicle.Care, func(c study.Care) bool {
		return c.PatchID != nil && *c.PatchID == patch
	})
}

// without drops the readings of a patch.
func without(readings []study.Reading, patch study.ID) []study.Reading {
	return slices.DeleteFunc(readings, func(r study.Reading) bool { return r.PatchID == patch })
}

func (h *history) log(kind study.CareKind, day study.Day, by operator) {
	h.vehicle.Care = append(h.vehicle.Care, study.Care{
		ID: study.NewID(), Day: day, Kind: kind, OperatorID: new(h.people[by.code]),
	})
}
