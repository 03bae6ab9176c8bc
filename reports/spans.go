package reports

import (
	"math"
	"slices"

	"beadspan/stats/survival"
)

// sample is a group's patches as spans of days, ready for estimates.
type sample struct {
	spans    []survival.Span // of known patches only, clustered by vehicle
	vehicles int             // with a known patch
	spent    int             // patches
	// spentVehicles have at least one spent patch.
	spentVehicles int
	unknown       int // patches whose life nothing is known of: left out
	late          int // known patches enrolled after their service began
	leftCensored  int // patches spent without a proof of holding before
}

func newSample(members []member) sample {
	var s sample
	known := func(m member) bool { return m.Span.Known }
	spent := func(m member) bool { return m.Span.Spent() }
	s.vehicles = vehiclesOf(members, known)
	s.spentVehicles = vehiclesOf(members, spent)
	for _, m := range members {
		if !known(m) {
			s.unknown++
			continue
		}
		s.spans = append(s.spans, m.span())
		s.late += one(m.Span.EntryDays > 0)
		s.spent += one(spent(m))
		s.leftCensored += m.Span.Decided.LeftCensored
	}
	return s
}

// span is the member's life in days, clustered by vehicle.
func (m *member) span() survival.Span {
	return survival.Span{Entry: m.Span.EntryDays, Lower: m.Span.LowerDays, Upper: m.Span.UpperDays, Cluster: m.vehicle}
}

// followUp returns for how many days of service half of the patches were
// followed at least, and the longest: to the last proof of holding, or to the
// fail that counted.
func (s sample) followUp() (half, longest float64) {
	if len(s.spans) == 0 {
		return 0, 0
	}
	days := make([]float64, len(s.spans))
	for i, span := range s.spans {
		days[i] = lastSeen(span)
	}
	slices.Sort(days)
	return days[(len(days)-1)/2], days[len(days)-1]
}

// atRisk counts the patches watched on day t: entered before it, and on it
// neither left nor known to be spent.
func (s sample) atRisk(t float64) int {
	n := 0
	for _, span := range s.spans {
		if (span.Entry < t || span.Entry == 0) && t <= lastSeen(span) {
			n++
		}
	}
	return n
}

// asIfSpentOn treats the day of the fail that counted as the day on which the
// patch was spent: the mistake whose size the report shows.
func (s sample) asIfSpentOn() []survival.Span {
	spans := slices.Clone(s.spans)
	for i, span := range spans {
		if !math.IsInf(span.Upper, 1) {
			spans[i].Lower = span.Upper
		}
	}
	return spans
}

func lastSeen(span survival.Span) float64 {
	if math.IsInf(span.Upper, 1) {
		return span.Lower
	}
	return span.Upper
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}
