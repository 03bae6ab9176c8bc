package reports

import (
	"fmt"
	"math"
	"slices"

	"beadspan/stats/survival"
	"beadspan/study"
	"beadspan/study/exposure"
)

const (
	// leastKnown is the share of patches that must be known on a clock for it to
	// be compared. House rule: judgement, no source.
	leastKnown = 2.0 / 3
	// idlePace is the part of each clock that runs with the calendar, at the
	// clock's mean pace. A strict clock would make an end between two checkups
	// without any load impossible, and one such end would decide everything.
	// House rule: judgement, no source.
	idlePace = 0.01
)

// clockSample are the patches whose lives are put on clocks.
type clockSample struct {
	patches []clockedPatch
	why     map[exposure.Clock]string // it isn't compared
	leftOut int                       // patches of known life

	spans map[exposure.Clock][]survival.Span // as far as they were asked for
}

// clockedPatch is a patch with what it has met.
type clockedPatch struct {
	*member
	load *exposure.Patch
}

// newClockSample takes the patches of known life that are known on every clock
// that most of them are known on, of coatings with enough spent.
func newClockSample(followed []study.Followed, sites exposure.Sites, shelter exposure.Shelter) *clockSample {
	s := &clockSample{why: map[exposure.Clock]string{}}
	_, members := grouped(followed, nil)
	for i := range members[Group{}] {
		if m := &members[Group{}][i]; m.Span.Known {
			s.patches = append(s.patches, clockedPatch{m, sites.Of(m.Vehicle.SiteID).Patch(m.Vehicle, m.Patch, shelter)})
		}
	}
	all := len(s.patches)
	for _, c := range clockChoice() {
		s.judge(c)
	}
	s.keep(func(p clockedPatch) bool {
		return !slices.ContainsFunc(clockChoice(), func(c exposure.Clock) bool { return s.why[c] == "" && p.load.Why(c) != "" })
	})
	s.keepEnough(func(p clockedPatch) string { return p.Coating.Code })
	s.leftOut = all - len(s.patches)
	for _, c := range clockChoice() {
		switch {
		case s.why[c] != "":
		case len(s.patches) == 0:
			s.why[c] = "too few patches were spent"
		case s.pace(c)*12*study.DaysPerMonth < 1:
			s.why[c] = "patches met less than one of its " + c.Unit() + " a year"
		}
	}
	return s
}

// judge says why a clock isn't compared, if it is known for too few patches.
func (s *clockSample) judge(c exposure.Clock) {
	reasons := map[string]int{}
	unknown, commonest := 0, ""
	for _, p := range s.patches {
		if why := p.load.Why(c); why != "" {
			unknown++
			reasons[why]++
			if reasons[why] > reasons[commonest] {
				commonest = why
			}
		}
	}
	if known := len(s.patches) - unknown; float64(known) < leastKnown*float64(len(s.patches)) {
		s.why[c] = fmt.Sprintf("known for %s of %s; of most others, %s", number(known), patches(len(s.patches)), commonest)
	}
}

func (s *clockSample) keep(wanted func(clockedPatch) bool) {
	s.patches = slices.DeleteFunc(s.patches, func(p clockedPatch) bool { return !wanted(p) })
}

// keepEnough keeps the patches of those kinds of which enough were spent.
func (s *clockSample) keepEnough(kind func(clockedPatch) string) {
	enough := enoughSpent(s.patches, kind)
	s.keep(func(p clockedPatch) bool { return enough[kind(p)] })
}

// enoughSpent finds the kinds of which enough patches on enough vehicles were
// spent, and at least one was seen to hold.
func enoughSpent(all []clockedPatch, kind func(clockedPatch) string) map[string]bool {
	spent, held := map[string]int{}, map[string]bool{}
	spentVehicles := map[string]map[int]bool{}
	for _, p := range all {
		k := kind(p)
		held[k] = held[k] || p.Span.LowerDays > 0
		if p.Span.Spent() {
			spent[k]++
			if spentVehicles[k] == nil {
				spentVehicles[k] = map[int]bool{}
			}
			spentVehicles[k][p.vehicle] = true
		}
	}
	enough := map[string]bool{}
	for k := range held {
		enough[k] = held[k] && spent[k] >= leastSpent && len(spentVehicles[k]) >= leastSpentVehicles
	}
	return enough
}

// on puts the lives on a clock.
func (s *clockSample) on(c exposure.Clock) []survival.Span {
	if spans, known := s.spans[c]; known {
		return spans
	}
	pace := s.pace(c)
	spans := make([]survival.Span, len(s.patches))
	for i, p := range s.patches {
		at := func(days float64) float64 {
			if math.IsInf(days, 1) {
				return days
			}
			met, _ := p.load.Since(c, days)
			return (1-idlePace)*met + idlePace*pace*days
		}
		spans[i] = survival.Span{
			Entry: at(p.Span.EntryDays), Lower: at(p.Span.LowerDays), Upper: at(p.Span.UpperDays), Cluster: p.vehicle,
		}
	}
	if s.spans == nil {
		s.spans = map[exposure.Clock][]survival.Span{}
	}
	s.spans[c] = spans
	return spans
}

// pace is what all patches met of a clock's load in a day, on average.
func (s *clockSample) pace(c exposure.Clock) float64 {
	met, days := 0.0, 0.0
	for _, p := range s.patches {
		seen := lastSeen(p.span())
		load, _ := p.load.Since(c, seen)
		met += load
		days += seen
	}
	if days == 0 {
		return 0
	}
	return met / days
}

// still counts the spent patches that met next to no load of a clock between
// the last proof and the fail: less than the idle pace adds.
func (s *clockSample) still(c exposure.Clock) int {
	n, pace := 0, s.pace(c)
	for _, p := range s.patches {
		if p.Span.Spent() {
			from, _ := p.load.Since(c, p.Span.LowerDays)
			to, _ := p.load.Since(c, p.Span.UpperDays)
			n += one(to-from < idlePace*pace*(p.Span.UpperDays-p.Span.LowerDays))
		}
	}
	return n
}

// count counts all patches.
func (s *clockSample) count() JobSide {
	var all sideCount
	for _, p := range s.patches {
		all.add(p.member)
	}
	return all.side()
}
