package reports

import (
	"fmt"
	"slices"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
	"beadspan/study"
)

// jobSample are the patches that tell of job conditions.
type jobSample struct {
	patches []*member
}

func newJobSample(followed []study.Followed) jobSample {
	_, members := grouped(followed, nil)
	var known jobSample
	for i, m := range members[Group{}] {
		if m.Span.Known {
			known.patches = append(known.patches, &members[Group{}][i])
		}
	}
	return *known.tellingCells()
}

// where is the sample of the patches wanted.
func (s *jobSample) where(wanted func(*member) bool) *jobSample {
	var kept jobSample
	for _, m := range s.patches {
		if wanted(m) {
			kept.patches = append(kept.patches, m)
		}
	}
	return &kept
}

// tellingCells is the sample of the cells of coating and climate in which a
// patch was spent and one was seen to hold: of another cell the model's own
// coefficient runs off, and nothing is left for job conditions.
func (s *jobSample) tellingCells() *jobSample {
	spent, held := map[string]bool{}, map[string]bool{}
	for _, m := range s.patches {
		spent[cellOf(m)] = spent[cellOf(m)] || m.Span.Spent()
		held[cellOf(m)] = held[cellOf(m)] || m.wasHeld()
	}
	return s.where(func(m *member) bool { return spent[cellOf(m)] && held[cellOf(m)] })
}

func cellOf(m *member) string { return m.Coating.Code + ", " + OrUnknown(m.Site.Koppen) }

func (s *jobSample) cells() aft.Term {
	labels := make([]string, len(s.patches))
	for i, m := range s.patches {
		labels[i] = cellOf(m)
	}
	return aft.Factor("cell", labels)
}

func (s *jobSample) spans() []survival.Span {
	spans := make([]survival.Span, len(s.patches))
	for i, m := range s.patches {
		spans[i] = m.span()
	}
	return spans
}

// judge counts the sides of a condition's contrasts and says of which there is
// too little variation to learn from; any is false if of all.
func (s *jobSample) judge(c jobCondition) (effects []JobEffect, any bool) {
	for _, contrast := range c.contrasts {
		e := JobEffect{Condition: c.name, Contrast: contrast.what, Against: contrast.against}
		var different int
		e.With, e.Without, different = s.split(c, contrast)
		switch {
		case e.With.Patches+e.Without.Patches == 0:
			e.Why = "no variation to learn from: it is on record for no patch"
		case contrast.with == nil && different < leastDifferent:
			e.Why = fmt.Sprintf("no variation to learn from: %s on record", count(different, "value is", "different values are"))
		case contrast.with == nil && (e.With.Spent < leastSlopeSpent || e.With.SpentVehicles < leastSpentVehicles):
			e.Why = fmt.Sprintf("too few spent: %d on %s", e.With.Spent, vehicles(e.With.SpentVehicles))
		case contrast.with != nil && !(e.With.enough() && e.Without.enough()):
			e.Why = fmt.Sprintf("no variation to learn from: %s, %d spent, against %s, %d spent",
				patches(e.With.Patches), e.With.Spent, patches(e.Without.Patches), e.Without.Spent)
		default:
			any = true
		}
		effects = append(effects, e)
	}
	return effects, any
}

func (s JobSide) enough() bool {
	return s.Patches >= leastSide && s.Spent >= leastSpent && s.SpentVehicles >= leastSpentVehicles
}

// split counts the patches on either side of a contrast, leaving out those on
// the side of another contrast of the condition, and the different values. Of a
// slope all are with.
func (s *jobSample) split(c jobCondition, contrast jobContrast) (with, without JobSide, different int) {
	values := map[float64]bool{}
	var on, off sideCount
	for _, m := range s.patches {
		x, _ := c.of(m.Patch.Job)
		switch {
		case x == nil:
		case contrast.with == nil:
			values[*x] = true
			on.add(m)
		case contrast.with(*x):
			on.add(m)
		case !slices.ContainsFunc(c.contrasts, func(other jobContrast) bool { return other.with(*x) }):
			off.add(m)
		}
	}
	return on.side(), off.side(), len(values)
}

// with is the sample of the patches that can stand in a model with a condition:
// it is on record, and not on a side of which there are too few.
func (s *jobSample) with(c jobCondition) *jobSample {
	effects, _ := s.judge(c)
	return s.where(func(m *member) bool {
		x, recorded := c.of(m.Patch.Job)
		for i, e := range effects {
			if with := c.contrasts[i].with; x != nil && with != nil && with(*x) && e.Why != "" {
				return false
			}
		}
		return recorded
	})
}

// side counts all patches.
func (s *jobSample) side() JobSide {
	var all sideCount
	for _, m := range s.patches {
		all.add(m)
	}
	return all.side()
}

// sideCount counts patches and their vehicles.
type sideCount struct {
	patches, spent          int
	vehicles, spentVehicles map[int]bool
}

func (c *sideCount) add(m *member) {
	if c.vehicles == nil {
		c.vehicles, c.spentVehicles = map[int]bool{}, map[int]bool{}
	}
	c.patches++
	c.vehicles[m.vehicle] = true
	if m.Span.Spent() {
		c.spent++
		c.spentVehicles[m.vehicle] = true
	}
}

func (c *sideCount) side() JobSide {
	return JobSide{len(c.vehicles), c.patches, c.spent, len(c.spentVehicles)}
}
