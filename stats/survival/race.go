package survival

import (
	"fmt"
	"iter"
	"math"
)

// race follows groups of exact and right-censored lives through the times at
// which something was last seen of any of them.
type race []*runner

// runner is one group of a race at the time reached.
type runner struct {
	lasts, entries []sight // those still to come

	atRisk float64 // lives watched and holding just before the time
	ended  float64 // lives that end at the time
	gone   float64 // ended or censored at the time
}

// newRace validates the groups, of which some may be empty, and makes equal
// the times that differ by rounding only, within a group or between them.
func newRace(groups [][]Span) (race, error) {
	r := make(race, len(groups))
	for g, spans := range groups {
		r[g] = &runner{}
		if len(spans) == 0 {
			continue
		}
		line, err := sorted(spans)
		if err == nil && line.weighted {
			err = wholeWeights(spans)
		}
		if err != nil {
			return nil, fmt.Errorf("group %d: %w", g, err)
		}
		r[g].lasts, r[g].entries = line.lasts, line.entries
	}
	spread := newSpread()
	for s := range r.inOrder() {
		spread.add(s.time())
	}
	if spread.n > 0 && spread.hasTies() {
		merged := mergeSights(r.inOrder(), spread.gap())
		for g, spans := range groups {
			if err := notAtEntry(spans, merged); err != nil {
				return nil, fmt.Errorf("group %d: %w", g, err)
			}
		}
	}
	for _, group := range r {
		group.start()
	}
	return r, nil
}

// wholeWeights returns a *SpanError for the first span that does not stand for
// a whole number of lives.
func wholeWeights(spans []Span) error {
	for i, s := range spans {
		if w := s.Lives(); w != math.Trunc(w) {
			return &SpanError{Index: i, Span: s,
				Reason: fmt.Sprintf("weight %v: a rank test counts whole lives", w)}
		}
	}
	return nil
}

// inOrder yields all sights, in order of time.
func (r race) inOrder() iter.Seq[*sight] {
	return func(yield func(*sight) bool) {
		var lines [][]sight
		for _, group := range r {
			for _, line := range [][]sight{group.lasts, group.entries} {
				if len(line) > 0 {
					lines = append(lines, line)
				}
			}
		}
		for len(lines) > 0 {
			first := 0
			for i := range lines[1:] {
				if lines[i+1][0].key < lines[first][0].key {
					first = i + 1
				}
			}
			if !yield(&lines[first][0]) {
				return
			}
			if lines[first] = lines[first][1:]; len(lines[first]) == 0 {
				lines = append(lines[:first], lines[first+1:]...)
			}
		}
	}
}

// start puts a group before all times: at risk are those watched from the
// start.
func (u *runner) start() {
	for _, s := range u.lasts {
		u.atRisk += s.weight
	}
	for _, s := range u.entries {
		u.atRisk -= s.weight
	}
}

// next goes to the next time at which something was last seen; more is false
// at the end of the race. All weights are whole, so that sums of them are exact.
func (r race) next() (time float64, more bool) {
	earliest := uint64(math.MaxUint64)
	for _, group := range r {
		if len(group.lasts) > 0 {
			earliest = min(earliest, group.lasts[0].key>>1)
		}
	}
	if earliest == math.MaxUint64 {
		return 0, false
	}
	for _, group := range r {
		group.turn(earliest)
	}
	return math.Float64frombits(earliest), true
}

// turn brings a group to a time: those who went at the last one have gone,
// those who entered before have come. An entry merged with 0 is none.
func (u *runner) turn(time uint64) {
	u.atRisk -= u.gone
	u.ended, u.gone = 0, 0
	for len(u.entries) > 0 && (u.entries[0].key>>1 < time || u.entries[0].key>>1 == 0) {
		u.atRisk += u.entries[0].weight
		u.entries = u.entries[1:]
	}
	for len(u.lasts) > 0 && u.lasts[0].key>>1 == time {
		u.gone += u.lasts[0].weight
		if u.lasts[0].ended() {
			u.ended += u.lasts[0].weight
		}
		u.lasts = u.lasts[1:]
	}
}
