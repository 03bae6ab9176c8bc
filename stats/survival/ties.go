package survival

import (
	"math"
	"slices"
)

// tieTolerance is how close two numbers must be to count as one, relative to
// the size of such numbers: the square root of the machine's rounding, as
// survival software usually takes it.
const tieTolerance = 1.5e-8

// mergedSpans validates spans and makes equal the times that differ by rounding
// only.
func mergedSpans(spans []Span) ([]Span, error) {
	if err := Validate(spans); err != nil {
		return nil, err
	}
	merged := mergeTies(spans)
	// A life can turn out to have ended at its entry only now.
	for i, s := range merged {
		if reason := s.problem(); reason != "" {
			return nil, &SpanError{Index: i, Span: spans[i], Reason: reason + butForRounding}
		}
	}
	return merged, nil
}

// mergeTies makes times equal that differ only by rounding, such as 0.1 + 0.2
// and 0.3, and returns spans itself when there are none. Sorted distinct times
// whose gap is at most tieTolerance of their mean become the first of them. An
// absolute gap has no place here: it would make the answer depend on the unit.
func mergeTies(spans []Span) []Span {
	times := distinctTimes(spans)
	spread := newSpread()
	for _, t := range times {
		spread.add(t)
	}
	if !spread.hasTies() {
		return spans
	}
	gap := spread.gap()
	kept := times[:1:1]
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] > gap {
			kept = append(kept, times[i])
		}
	}
	merged := slices.Clone(spans)
	for i := range merged {
		s := &merged[i]
		s.Entry, s.Lower, s.Upper = floorTo(kept, s.Entry), floorTo(kept, s.Lower), floorTo(kept, s.Upper)
	}
	return merged
}

// spread is what distinct times, in order, tell of how close they lie.
type spread struct {
	n     int
	sum   float64 // scaled, so that it stays finite
	last  float64
	least float64 // difference between neighbours
}

const spreadScale = 0x1p-64

func newSpread() *spread { return &spread{last: math.Inf(-1), least: math.Inf(1)} }

// add takes the next time; one equal to the last changes nothing.
func (p *spread) add(t float64) {
	if t == p.last {
		return
	}
	p.n++
	p.sum += t * spreadScale
	p.least = min(p.least, t-p.last)
	p.last = t
}

// gap is the largest difference that counts as rounding.
func (p *spread) gap() float64 {
	return tieTolerance * p.sum / float64(p.n) / spreadScale
}

// hasTies reports whether some times differ by rounding only.
func (p *spread) hasTies() bool { return p.least <= p.gap() }

// distinctTimes returns the finite times of the spans, sorted, each once.
func distinctTimes(spans []Span) []float64 {
	seen := make([]sight, 0, len(spans))
	for _, s := range spans {
		seen = append(seen, newSight(s.Lower, false, 1))
		if !s.exact() && !s.rightCensored() {
			seen = append(seen, newSight(s.Upper, false, 1))
		}
		if s.Entry != 0 {
			seen = append(seen, newSight(s.Entry, false, 1))
		}
	}
	times := make([]float64, 0, len(seen))
	for _, s := range sortSights(seen) {
		if t := s.time(); len(times) == 0 || t != times[len(times)-1] {
			times = append(times, t)
		}
	}
	return times
}

// floorTo returns the last of the sorted times that is not after t. Infinity
// and what lies before all times (an entry of 0) stay as they are.
func floorTo(times []float64, t float64) float64 {
	if math.IsInf(t, 1) || t < times[0] {
		return t
	}
	at, found := slices.BinarySearch(times, t)
	if found {
		return t
	}
	return times[at-1]
}
