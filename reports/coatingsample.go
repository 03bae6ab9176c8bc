package reports

import (
	"math"
	"slices"

	"beadspan/study"
)

// coatingSample are the patches of the coatings compared of whose life something
// is known.
type coatingSample struct {
	jobSample
}

func newCoatingSample(followed []study.Followed) *coatingSample {
	_, members := grouped(followed, nil)
	s := &coatingSample{}
	for i, m := range members[Group{}] {
		if m.Span.Known {
			s.patches = append(s.patches, &members[Group{}][i])
		}
	}
	return s
}

func codeOf(m *member) string  { return OrUnknown(m.Coating.Code) }
func classOf(m *member) string { return OrUnknown(m.Site.Koppen) }

func (s *coatingSample) keep(wanted func(*member) bool) *coatingSample {
	return &coatingSample{*s.where(wanted)}
}

// of is the sample of one coating.
func (s *coatingSample) of(code string) *coatingSample {
	return s.keep(func(m *member) bool { return codeOf(m) == code })
}

// pair is the sample of two coatings.
func (s *coatingSample) pair(a, b string) *coatingSample {
	return s.keep(func(m *member) bool { return codeOf(m) == a || codeOf(m) == b })
}

// coatings lists the codes, in order.
func (s *coatingSample) coatings() []string { return s.distinct(codeOf) }

func (s *coatingSample) distinct(of func(*member) string) []string {
	found := map[string]bool{}
	for _, m := range s.patches {
		found[of(m)] = true
	}
	return sortedKeys(found)
}

// longestMonths is the longest that a patch was followed.
func (s *coatingSample) longestMonths() float64 {
	longest := 0.0
	for _, m := range s.patches {
		longest = math.Max(longest, lastSeen(m.span()))
	}
	return longest / study.DaysPerMonth
}

// carriers tells which of two coatings each vehicle carries.
func (s *coatingSample) carriers(a, b string) map[int][2]bool {
	carries := map[int][2]bool{}
	for _, m := range s.patches {
		two := carries[m.vehicle]
		two[0] = two[0] || codeOf(m) == a
		two[1] = two[1] || codeOf(m) == b
		carries[m.vehicle] = two
	}
	return carries
}

// shared counts the vehicles that carry both of two coatings, and one of them.
func (s *coatingSample) shared(a, b string) (both, either int) {
	for _, two := range s.carriers(a, b) {
		both += one(two[0] && two[1])
		either += one(two[0] != two[1])
	}
	return both, either
}

// matched is the sample of two coatings on vehicles that carry both.
func (s *coatingSample) matched(a, b string) *coatingSample {
	carries := s.carriers(a, b)
	return s.pair(a, b).keep(func(m *member) bool { return carries[m.vehicle] == [2]bool{true, true} })
}

// asIfSpentOn takes the day of the fail that counted for the day on which a patch
// was spent.
func (s *coatingSample) asIfSpentOn() *coatingSample {
	taken := &coatingSample{}
	for _, m := range s.patches {
		changed := *m
		if m.Span.Spent() {
			changed.Span.LowerDays = m.Span.UpperDays
		}
		taken.patches = append(taken.patches, &changed)
	}
	return taken
}

// telling is the sample of the climates and coatings that tell of ratios: in a
// climate a patch was spent and one seen to hold, or its own coefficient runs off
// and nothing is left for coatings; and a coating has as many spent patches as a
// median takes. Leaving out one may leave too little of another.
func (s *coatingSample) telling(byClimate bool) *coatingSample {
	for {
		kept := s
		if byClimate {
			spent, held := map[string]bool{}, map[string]bool{}
			for _, m := range s.patches {
				spent[classOf(m)] = spent[classOf(m)] || m.Span.Spent()
				held[classOf(m)] = held[classOf(m)] || m.wasHeld()
			}
			kept = kept.keep(func(m *member) bool { return spent[classOf(m)] && held[classOf(m)] })
		}
		enough := map[string]bool{}
		for _, code := range kept.coatings() {
			of := kept.of(code)
			enough[code] = of.side().spentEnough() && slices.ContainsFunc(of.patches, (*member).wasHeld)
		}
		kept = kept.keep(func(m *member) bool { return enough[codeOf(m)] })
		if len(kept.patches) == len(s.patches) {
			return kept
		}
		s = kept
	}
}

// wasHeld reports whether the patch was seen to hold for some time.
func (m *member) wasHeld() bool {
	return m.Span.LowerDays > m.Span.EntryDays || m.Span.LowerDays > 0 && m.Span.Spent()
}

// spentEnough reports whether as many patches were spent as a median takes.
func (s JobSide) spentEnough() bool {
	return s.Spent >= leastSpent && s.SpentVehicles >= leastSpentVehicles
}
