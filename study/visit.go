package study

import (
	"cmp"
	"slices"
)

// outcome is what one day's readings prove of a patch.
type outcome int

const (
	provesNothing outcome = iota // failed, but perhaps only under traffic film
	provesHolding
	provesSpent
)

// visit is one day on which a patch was read.
type visit struct {
	day     Day
	outcome outcome
	// masked: a fail before the decontamination wash and a pass after it.
	masked bool
	// contrary: a pass before the decontamination wash and a fail after it.
	contrary bool
}

// visits judges each day on which the patch was read, in order of date.
//
// Checkups of one day are one visit: a second operator's fail on the same day
// does not confirm the first one's. At each stage the mean of the day's values
// is judged.
func (p Protocol) visits(checkups []Checkup, patch ID) []visit {
	type reading struct {
		day   Day
		stage Stage
		value float64
	}
	var readings []reading
	for _, c := range checkups {
		for _, r := range c.Readings {
			if r.PatchID != patch {
				continue
			}
			if value, measured := p.Metric.Value(r); measured {
				readings = append(readings, reading{c.Day, r.Stage, value})
			}
		}
	}
	slices.SortStableFunc(readings, func(a, b reading) int { return cmp.Compare(a.day, b.day) })

	var visits []visit
	for len(readings) > 0 {
		day := readings[0].day
		var values [3][]float64 // by stage
		for len(readings) > 0 && readings[0].day == day {
			stage := readings[0].stage.order()
			values[stage] = append(values[stage], readings[0].value)
			readings = readings[1:]
		}
		visits = append(visits, p.judge(day, values))
	}
	return visits
}

// judge says what one day's values prove. Dirt never adds repellency, so a
// pass at any stage proves holding; it may hide repellency, so a fail proves
// spent only on a decontaminated panel. Where both were seen on one day the
// decontaminated panel decides: what repelled before it was washed off.
func (p Protocol) judge(day Day, values [3][]float64) visit {
	passed, failed := false, false // before the decontamination wash
	for _, stage := range []Stage{Arrival, Washed} {
		if vs := values[stage.order()]; len(vs) > 0 {
			if p.passes(mean(vs)) {
				passed = true
			} else {
				failed = true
			}
		}
	}
	v := visit{day: day}
	switch decon := values[Decon.order()]; {
	case len(decon) > 0 && p.passes(mean(decon)):
		v.outcome, v.masked = provesHolding, failed
	case len(decon) > 0:
		v.outcome, v.contrary = provesSpent, passed
	case passed:
		v.outcome = provesHolding
	}
	return v
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}
