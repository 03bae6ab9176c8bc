package survival

import (
	"cmp"
	"slices"
)

// riskSet counts, as time goes forward, how many lives are watched and hold.
type riskSet struct {
	entries []float64 // sorted
	ends    []end     // in order of time

	entered, left int // how many of them lie before the time reached
}

// end is the last that was seen of a life.
type end struct {
	time  float64
	event bool
}

func newRiskSet(spans []Span) *riskSet {
	r := &riskSet{entries: make([]float64, len(spans)), ends: make([]end, len(spans))}
	for i, s := range spans {
		r.entries[i] = s.Entry
		r.ends[i] = end{time: s.Lower, event: s.exact()}
	}
	slices.Sort(r.entries)
	slices.SortFunc(r.ends, func(a, b end) int { return cmp.Compare(a.time, b.time) })
	return r
}

// at returns how many lives are at risk just before t, and how many of them end
// or are censored at t. Calls must go forward in time.
func (r *riskSet) at(t float64) (atRisk, events, censored int) {
	for r.entered < len(r.entries) && entered(r.entries[r.entered], t) {
		r.entered++
	}
	for r.left < len(r.ends) && r.ends[r.left].time < t {
		r.left++
	}
	for _, e := range r.ends[r.left:] {
		if e.time > t {
			break
		}
		if e.event {
			events++
		} else {
			censored++
		}
	}
	return r.entered - r.left, events, censored
}

// entered reports whether a life is at risk at t as far as its entry goes. One
// watched from the start is at risk at time 0 too.
func entered(entry, t float64) bool { return entry == 0 || entry < t }
