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
			return nil, &SpanError{Index: i, Span: spans[i], Reason: reason + " (but for rounding)"}
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
	sum := 0.0
	for _, t := range times {
		sum += t
	}
	gap := tieTolerance * sum / float64(len(times))

	kept := times[:1:1]
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] > gap {
			kept = append(kept, times[i])
		}
	}
	if len(kept) == len(times) {
		return spans
	}
	merged := slices.Clone(spans)
	for i := range merged {
		s := &merged[i]
		s.Entry, s.Lower, s.Upper = floorTo(kept, s.Entry), floorTo(kept, s.Lower), floorTo(kept, s.Upper)
	}
	return merged
}

// distinctTimes returns the finite times of the spans, sorted, each once.
func distinctTimes(spans []Span) []float64 {
	times := make([]float64, 0, 2*len(spans))
	for _, s := range spans {
		times = append(times, s.Lower)
		if !s.exact() && !s.rightCensored() {
			times = append(times, s.Upper)
		}
		if s.Entry != 0 {
			times = append(times, s.Entry)
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
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
