package agreement

import "math"

// Measurement is one of a series of the same thing, whose value changes slowly.
type Measurement struct {
	Time, Value float64
	Rater       int
}

// Raters compares raters who took turns at the same things.
type Raters struct {
	// Alone is the scatter of a measurement whose neighbours are by the same
	// rater, and Mixed of one whose neighbours are both by others: larger where
	// raters read differently.
	Alone, Mixed Scatter
	// Offsets tells of each rater with such a mixed measurement.
	Offsets map[int]Offset
}

// Offset is by how much a rater reads above the others, on average over N
// measurements.
type Offset struct {
	Mean float64
	N    int
}

// Neighbours compares each measurement of a series with the straight line between
// the one before and the one after it,
//
//	e = x₂ − (w₁x₁ + w₃x₃),  w₁ = (t₃ − t₂)/(t₃ − t₁),  w₃ = 1 − w₁
//
// so that a slow change of the thing itself cancels. What is left of a change
// that bends is the mean of e where all three are by one rater, and is taken off
// all; 0 where there are none. A single measurement's scatter is that of
// e/√(1 + w₁² + w₃²).
//
// Each series is in order of time. Measurements at one time are left out but for
// the first. Neighbouring e's have measurements in common, so the degrees of
// freedom, one for each, are a count and no more. Offsets are against those who
// happened to be the neighbours.
func Neighbours(series [][]Measurement) Raters {
	alone, mixed := eachMiddle(series)
	bend := 0.0
	for _, m := range alone {
		bend += m.off / float64(len(alone))
	}
	r := Raters{Alone: scatterOf(alone, bend, len(alone)-1), Mixed: scatterOf(mixed, bend, len(mixed)), Offsets: map[int]Offset{}}
	for _, m := range mixed {
		o := r.Offsets[m.rater]
		o.N++
		o.Mean += (m.off - bend - o.Mean) / float64(o.N)
		r.Offsets[m.rater] = o
	}
	return r
}

// middle is a measurement between two others.
type middle struct {
	rater int
	off   float64 // the line between these
	scale float64 // its standard deviation, in those of a single measurement
}

func eachMiddle(series [][]Measurement) (alone, mixed []middle) {
	for _, all := range series {
		xs := apart(all)
		for i := 1; i < len(xs)-1; i++ {
			a, b, c := xs[i-1], xs[i], xs[i+1]
			w := (c.Time - b.Time) / (c.Time - a.Time)
			m := middle{b.Rater, b.Value - w*a.Value - (1-w)*c.Value, math.Sqrt(1 + w*w + (1-w)*(1-w))}
			switch {
			case a.Rater == b.Rater && c.Rater == b.Rater:
				alone = append(alone, m)
			case a.Rater != b.Rater && c.Rater != b.Rater:
				mixed = append(mixed, m)
			}
		}
	}
	return alone, mixed
}

// apart keeps the first measurement of each time.
func apart(xs []Measurement) []Measurement {
	var kept []Measurement
	for _, x := range xs {
		if len(kept) == 0 || x.Time > kept[len(kept)-1].Time {
			kept = append(kept, x)
		}
	}
	return kept
}

func scatterOf(middles []middle, bend float64, df int) Scatter {
	sum := 0.0
	for _, m := range middles {
		e := (m.off - bend) / m.scale
		sum += e * e
	}
	return newScatter(sum, df)
}
