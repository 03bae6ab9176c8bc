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
	patches []member
}

func newJobSample(followed []study.Followed) jobSample {
	_, members := grouped(followed, nil)
	all := jobSample{members[Group{}]}
	return *all.where(func(m member) bool { return m.Span.Known }).tellingCells()
}

// where is the sample of the patches wanted.
func (s *jobSample) where(wanted func(member) bool) *jobSample {
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
		held[cellOf(m)] = held[cellOf(m)] || m.Span.LowerDays > m.Span.EntryDays || m.Span.LowerDays > 0 && m.Span.Spent()
	}
	return s.where(func(m member) bool { return spent[cellOf(m)] && held[cellOf(m)] })
}

func cellOf(m member) string { return m.Coating.Code + ", " + orUnknown(m.Site.Koppen) }

func (s *jobSample) cells() aft.Term {
	labels := make([]string, len(s.patches))
	for i, m := range s.patches {
		labels[i] = cellOf(m)
	}
	return aft.Factor("cell", labels)
}

func (s *jobSample) spans() []survival.Span { return newSample(s.patches).spans }

func (s *jobSample) vehicles() int { return newSample(s.patches).vehicles }

func (s *jobSample) spent() int { return newSample(s.patches).spent }

// judge counts the sides of a condition's contrasts and says of which there is
// too little variation to learn from; any is false if of all.
func (s *jobSample) judge(c jobCondition) (effects []JobEffect, any bool) {
	for _, contrast := range c.contrasts {
		e := JobEffect{Condition: c.name, Contrast: contrast.what, Against: contrast.against}
		with, without, different := s.split(c, contrast)
		e.With, e.Without = sideOf(with), sideOf(without)
		switch {
		case e.With.Patches+e.Without.Patches == 0:
			e.Why = "no variation to learn from: it is on record for no patch"
		case contrast.with == nil && different < leastDifferent:
			e.Why = fmt.Sprintf("no variation to learn from: %s on record", count(different, "value is", "different values are"))
		case contrast.with == nil && e.With.Spent < leastSlopeSpent,
			contrast.with == nil && e.With.SpentVehicles < leastSpentVehicles:
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

// split sorts the patches to the sides of a contrast, leaving out those on the
// side of another contrast of the condition. Of a slope all are with.
func (s *jobSample) split(c jobCondition, contrast jobContrast) (with, without []member, different int) {
	values := map[float64]bool{}
	for _, m := range s.patches {
		x, _ := c.of(m.Patch.Job)
		switch {
		case x == nil:
		case contrast.with == nil:
			values[*x] = true
			with = append(with, m)
		case contrast.with(*x):
			with = append(with, m)
		case !slices.ContainsFunc(c.contrasts, func(other jobContrast) bool { return other.with(*x) }):
			without = append(without, m)
		}
	}
	return with, without, len(values)
}

// with is the sample of the patches that can stand in a model with a condition:
// it is on record, and not on a side of which there are too few.
func (s *jobSample) with(c jobCondition) *jobSample {
	effects, _ := s.judge(c)
	return s.where(func(m member) bool {
		x, recorded := c.of(m.Patch.Job)
		for i, e := range effects {
			if with := c.contrasts[i].with; x != nil && with != nil && with(*x) && e.Why != "" {
				return false
			}
		}
		return recorded
	})
}

func sideOf(members []member) JobSide {
	s := newSample(members)
	return JobSide{s.vehicles, len(s.spans), s.spent, s.spentVehicles}
}
