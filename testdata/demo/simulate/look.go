package simulate

import (
	"slices"

	"beadspan/study"
)

// Angles that leave no doubt on which side of the threshold they are.
const (
	clearFailDeg = 78.0
	clearPassDeg = 104.0
	surelyBadDeg = 86.0 // a clean angle below this hardly ever reads as a pass
	surelyOKDeg  = 95.0 // nor one above this as a fail after decon
)

// look is one checkup's readings of one patch.
type look struct {
	checkup *study.Checkup
	byStage map[study.Stage]*study.Reading
}

// looks lists the checkups that read a patch, in order.
func (h *history) looks(p study.Patch) []look {
	var all []look
	for i := range h.vehicle.Checkups {
		c := &h.vehicle.Checkups[i]
		l := look{c, map[study.Stage]*study.Reading{}}
		for j := range c.Readings {
			if r := &c.Readings[j]; r.PatchID == p.ID {
				l.byStage[r.Stage] = r
			}
		}
		if len(l.byStage) > 0 {
			all = append(all, l)
		}
	}
	return all
}

func (l look) has(stages ...study.Stage) bool {
	return !slices.ContainsFunc(stages, func(s study.Stage) bool { return l.byStage[s] == nil })
}

// reread puts another surface under the readings of the given stages.
func (h *history) reread(l look, p study.Patch, surfaceDeg float64, note string, stages ...study.Stage) {
	for _, s := range stages {
		if r := l.byStage[s]; r != nil {
			*r = h.clearReading(p, s, surfaceDeg, h.shop.operators[0])
			r.Note = note
		}
	}
}

// addCheckup adds a checkup of one patch after all others.
func (h *history) addCheckup(p study.Patch, day study.Day, by operator, surfaceDeg float64, note string, stages ...study.Stage) {
	c := study.Checkup{ID: study.NewID(), Day: day, OperatorID: new(h.people[by.code]), Note: note}
	for _, s := range stages {
		c.Readings = append(c.Readings, h.clearReading(p, s, surfaceDeg, by))
	}
	h.vehicle.Checkups = append(h.vehicle.Checkups, c)
}

// clearReading draws a reading that has its angles.
func (h *history) clearReading(p study.Patch, s study.Stage, surfaceDeg float64, by operator) study.Reading {
	r := h.reading(p, s, surfaceDeg, by)
	if len(r.AnglesDeg) == 0 {
		r.AnglesDeg = h.angles(3, surfaceDeg)
	}
	return r
}

// plain reports whether a patch was followed from its coating on, for some
// checkups, and had nothing done to it that ends or lifts it.
func (h *history) plain(p study.Patch) bool {
	meddled := slices.ContainsFunc(h.vehicle.CareOf(p.ID), func(c study.Care) bool {
		return c.Kind.Ends() || c.Kind == study.Topper
	})
	return !h.late && !meddled && len(h.looks(p)) >= 4
}

// sound reports whether a patch is healthy on a day: its readings after decon
// pass.
func (h *history) sound(p study.Patch, day study.Day) bool {
	return h.cleanDeg(p, day) > surelyOKDeg
}

// soundToTheLast reports whether a plain patch is healthy at its last look.
func (h *history) soundToTheLast(p study.Patch) bool {
	looks := h.looks(p)
	return h.plain(p) && h.sound(p, looks[len(looks)-1].checkup.Day)
}

// firstSpent gives the first of the looks at which the clean angle is surely
// bad.
func (h *history) firstSpent(p study.Patch, looks []look) int {
	i := slices.IndexFunc(looks, func(l look) bool { return h.cleanDeg(p, l.checkup.Day) < surelyBadDeg })
	if i < 0 {
		return len(looks)
	}
	return i
}
