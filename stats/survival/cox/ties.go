package cox

import (
	"fmt"
	"math"
	"slices"
)

// Ties says how lives that end at the same time share a risk set.
type Ties int

const (
	// Efron's approximation takes the tied ends one after the other, each of
	// those not yet gone with the same share. It is close to the truth where
	// time is continuous and was rounded.
	Efron Ties = iota
	// Breslow's lets each of the tied ends see the whole risk set. It is
	// biased towards 0 where ties are many.
	Breslow
	// Exact is the discrete model: of all ways in which so many of those at
	// risk could have ended, the chance of the one seen. It is slow where ties
	// are many and knows no weights.
	Exact
)

// String is the name that statistics programs use.
func (t Ties) String() string {
	switch t {
	case Efron:
		return "efron"
	case Breslow:
		return "breslow"
	case Exact:
		return "exact"
	}
	return fmt.Sprintf("Ties(%d)", int(t))
}

// tieTolerance is how close two times must be to count as one, relative to the
// mean size of times: the square root of the machine's rounding, as survival
// software usually takes it.
const tieTolerance = 1.5e-8

// mergeTies returns d with times made equal that differ by rounding only, such
// as 0.1 + 0.2 and 0.3: of sorted distinct times whose gaps are within the
// tolerance, the first. d itself is not changed; rows lists what of it counts,
// from the last stop to the first. A row whose life turns out to have ended at
// its start is a *RowError.
func mergeTies(d Data, rows []int) (Data, error) {
	firsts := nearTies(&d, rows)
	if len(firsts) == 0 {
		return d, nil
	}
	merged := func(times []float64) []float64 {
		times = slices.Clone(times)
		for i, t := range times {
			if first, found := firsts[t]; found {
				times[i] = first
			}
		}
		return times
	}
	d.Stop, d.Start = merged(d.Stop), merged(d.Start)
	for i := range d.Stop {
		if reason := d.problem(i); reason != "" {
			return d, &RowError{Row: i, Reason: reason + " (but for rounding)"}
		}
	}
	return d, nil
}

// nearTies maps each time that another one stands for to that one.
func nearTies(d *Data, rows []int) map[float64]float64 {
	times := make([]float64, 0, len(d.Stop)+len(d.Start))
	for _, i := range slices.Backward(rows) {
		times = append(times, d.Stop[i])
	}
	if d.Start != nil {
		for _, i := range rows {
			if !math.IsInf(d.Start[i], -1) {
				times = append(times, d.Start[i])
			}
		}
		slices.Sort(times)
	}
	times = slices.Compact(times)
	size := 0.0
	for _, t := range times {
		size += math.Abs(t) / float64(len(times))
	}
	firsts := map[float64]float64{}
	first := 0.0
	for i, t := range times {
		if i > 0 && t-times[i-1] <= tieTolerance*size {
			firsts[t] = first
		} else {
			first = t
		}
	}
	return firsts
}
