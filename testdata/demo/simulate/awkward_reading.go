package simulate

import (
	"slices"

	"beadspan/study"
)

// The cases that lie in a reading.

func saltCrust(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) {
		return 0, false
	}
	for _, l := range h.looks(p)[1:] {
		if l.has(study.Arrival, study.Washed, study.Decon) && h.sound(p, l.checkup.Day) {
			h.reread(l, p, clearFailDeg, "salt crust", study.Arrival, study.Washed)
			h.reread(l, p, clearPassDeg, "", study.Decon)
			return l.checkup.Day, true
		}
	}
	return 0, false
}

func hurriedOwner(h *history, p study.Patch) (study.Day, bool) {
	day := lastDay() - 8
	if !h.soundToTheLast(p) {
		return 0, false
	}
	h.addCheckup(p, day, h.shop.operators[1], clearFailDeg, "owner in a hurry, no decon wash", study.Arrival, study.Washed)
	return day, true
}

func hotPanel(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) {
		return 0, false
	}
	looks := h.looks(p)
	for i, l := range looks[1 : len(looks)-1] {
		after := looks[i+2]
		if l.has(study.Decon) && after.has(study.Washed) && h.sound(p, after.checkup.Day) {
			h.reread(l, p, clearFailDeg, "panel hot, drops drying", study.Stages()...)
			h.reread(after, p, clearPassDeg, "", study.Washed, study.Decon)
			return l.checkup.Day, true
		}
	}
	return 0, false
}

func lastFail(h *history, p study.Patch) (study.Day, bool) {
	day := lastDay() - 3
	if !h.soundToTheLast(p) {
		return 0, false
	}
	h.addCheckup(p, day, h.shop.operators[0], clearFailDeg, "", study.Stages()...)
	return day, true
}

func twoOperators(h *history, p study.Patch) (study.Day, bool) {
	day := lastDay() - 5
	if !h.soundToTheLast(p) {
		return 0, false
	}
	for _, by := range h.shop.operators {
		h.addCheckup(p, day, by, clearFailDeg, "read by both of us", study.Washed, study.Decon)
	}
	return day, true
}

func glossyShampoo(h *history, p study.Patch) (study.Day, bool) {
	looks := h.looks(p)
	for _, l := range looks[h.firstSpent(p, looks):] {
		if l.has(study.Washed, study.Decon) {
			h.reread(l, p, clearPassDeg, "shampoo with gloss additive", study.Washed)
			h.reread(l, p, clearFailDeg, "", study.Decon)
			return l.checkup.Day, true
		}
	}
	return 0, false
}

func unloggedTopper(h *history, p study.Patch) (study.Day, bool) {
	looks := h.looks(p)
	conclusive := 0
	for _, l := range looks[h.firstSpent(p, looks):] {
		if l.has(study.Decon) {
			conclusive++
		}
	}
	last := looks[len(looks)-1].checkup.Day
	if conclusive < 3 || last+21 > lastDay() || h.readUntil[p.ID] < last+21 {
		return 0, false
	}
	h.addCheckup(p, last+21, h.shop.operators[1], clearPassDeg, "owner says: sprayed something on", study.Washed)
	return last + 21, true
}

func neverRead(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) || len(h.vehicle.Patches) < 2 {
		return 0, false
	}
	for i := range h.vehicle.Checkups {
		c := &h.vehicle.Checkups[i]
		c.Readings = without(c.Readings, p.ID)
	}
	h.vehicle.Checkups = slices.DeleteFunc(h.vehicle.Checkups, func(c study.Checkup) bool { return len(c.Readings) == 0 })
	return p.Applied, true
}

func readByEye(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) {
		return 0, false
	}
	for _, l := range h.looks(p) {
		for _, r := range l.byStage {
			r.AnglesDeg = nil
			r.BeadGrade = new(5)
		}
	}
	return p.Applied, true
}
