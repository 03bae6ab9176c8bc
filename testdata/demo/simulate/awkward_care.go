package simulate

import (
	"slices"

	"beadspan/study"
)

// The cases that lie in the care, or in when a patch is first seen.

func toppedAtOnce(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) {
		return 0, false
	}
	h.take(p, study.Topper, "gloss topper as the last step")
	return p.Applied, true
}

func filmedFirst(h *history, p study.Patch) (study.Day, bool) {
	if !h.plain(p) || p.Substrate != study.Film {
		return 0, false
	}
	h.take(p, study.FilmReplaced, "new film, coated the same afternoon")
	return p.Applied, true
}

// take logs care of a patch on the day of its coating.
func (h *history) take(p study.Patch, kind study.CareKind, note string) {
	h.vehicle.Care = append(h.vehicle.Care, study.Care{
		ID: study.NewID(), PatchID: new(p.ID), Day: p.Applied, Kind: kind, Note: note,
	})
	inOrder(h.vehicle.Care)
}

func toppedLater(h *history, p study.Patch) (study.Day, bool) {
	topper, topped := h.first(p, func(c study.Care) bool { return c.Kind == study.Topper })
	if !topped || h.late || h.ends(p) {
		return 0, false
	}
	looks := h.looks(p)
	before := slices.ContainsFunc(looks, func(l look) bool { return l.checkup.Day < topper.Day })
	after := slices.ContainsFunc(looks, func(l look) bool { return l.checkup.Day > topper.Day })
	healthy := h.decays[p.ID].angleDeg(float64(topper.Day-p.InService())) > surelyOKDeg
	return topper.Day, before && after && healthy
}

func seenWhenSold(h *history, p study.Patch) (study.Day, bool) {
	sold, was := h.first(p, func(c study.Care) bool { return c.Kind == study.Sold })
	again := sold.Day + 40
	if !was || h.late || again > lastDay() || h.readUntil[p.ID] < lastDay() || len(h.looks(p)) < 3 ||
		h.cleanDeg(p, sold.Day) < surelyOKDeg {
		return 0, false
	}
	h.addCheckup(p, again, h.shop.operators[0], clearPassDeg, "new owner came by", study.Washed)
	return again, true
}

func onePanelLost(h *history, p study.Patch) (study.Day, bool) {
	lost, was := h.first(p, func(c study.Care) bool { return c.PatchID != nil && c.Kind.Ends() && c.Kind != study.Recoat })
	if !was || h.late || len(h.looks(p)) < 3 || h.decays[p.ID].angleDeg(float64(lost.Day-p.InService())) < surelyOKDeg {
		return 0, false
	}
	neighbour := slices.ContainsFunc(h.vehicle.Patches, func(q study.Patch) bool { return q.ID != p.ID && h.plain(q) })
	return lost.Day, neighbour
}

func spentWhenSeen(h *history, p study.Patch) (study.Day, bool) {
	day, always := h.alwaysSpent(p)
	return day, always && !h.late
}

func spentWhenJoined(h *history, p study.Patch) (study.Day, bool) {
	day, always := h.alwaysSpent(p)
	return day, always && h.late
}

// alwaysSpent reports whether a patch's clean angle was surely bad whenever it
// was read, with two conclusive readings at the least.
func (h *history) alwaysSpent(p study.Patch) (first study.Day, always bool) {
	looks := h.looks(p)
	conclusive := 0
	for _, l := range looks {
		if l.has(study.Decon) {
			conclusive++
		}
	}
	if conclusive < 2 || h.firstSpent(p, looks) > 0 {
		return 0, false
	}
	_, topped := h.first(p, func(c study.Care) bool { return c.Kind == study.Topper })
	return looks[0].checkup.Day, !topped
}

// first finds the first care of a patch that is of a kind.
func (h *history) first(p study.Patch, is func(study.Care) bool) (study.Care, bool) {
	care := h.vehicle.CareOf(p.ID)
	i := slices.IndexFunc(care, is)
	if i < 0 {
		return study.Care{}, false
	}
	return care[i], true
}

func (h *history) ends(p study.Patch) bool {
	_, ends := h.first(p, func(c study.Care) bool { return c.Kind.Ends() })
	return ends
}
