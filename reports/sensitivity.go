package reports

import (
	"fmt"

	"beadspan/stats/survival/aft"
	"beadspan/study"
)

// Reading is one way of reading the records, with the ratios that it gives.
type Reading struct {
	What string // "threshold 85°"
	// Mistake is true of a way that is wrong, shown for how far it leads astray.
	Mistake bool
	Ratios  []ReadRatio // of the comparison's pairs, in their order
}

// ReadRatio is a pair's ratio by another reading.
type ReadRatio struct {
	Patches, Spent int           // of the two coatings, that it looks at
	Ratio          *RatioOfLives // nil where Why says why not
	Why            string
	// Change is how the conclusion differs from the comparison's own.
	Change Change
}

// Change is how another reading alters the conclusion on a pair: which of the two
// lasts longer, as far as limits show.
type Change string

// alters reports whether the conclusion is another one, rather than the same or
// none.
func (c Change) alters() bool { return c != Unchanged && c != NoLongerKnown }

// What another reading may do to a conclusion.
const (
	Unchanged     Change = ""
	Reversed      Change = "reversed"
	NoLongerShown Change = "no longer shown"
	NowShown      Change = "shown only so"
	NoLongerKnown Change = "can’t be estimated so"
)

// changeOf tells how a reading's ratio alters the conclusion from the
// comparison's own; either may be nil.
func changeOf(own, read *RatioOfLives) Change {
	before, after := own.side(), read.side()
	switch {
	case own != nil && read == nil:
		return NoLongerKnown
	case before == after:
		return Unchanged
	case before == 0:
		return NowShown
	case after == 0:
		return NoLongerShown
	}
	return Reversed
}

// side is 1 where limits show the first of the two to last longer, −1 where they
// show the second, and 0 where they show neither.
func (r *RatioOfLives) side() int {
	switch {
	case r == nil:
		return 0
	case r.Limits.Low > 1:
		return 1
	case r.Limits.High < 1:
		return -1
	}
	return 0
}

// reading is a way of reading the records before anything is estimated.
type reading struct {
	what    string
	mistake bool
	// protocol, if not nil, judges the patches.
	protocol *study.Protocol
	// of changes the sample of a pair or of all; nil leaves it.
	of      func(*coatingSample) *coatingSample
	plan    func(*ratioPlan)
	own     bool // nothing is changed
	matched bool // each pair on the vehicles that carry both
}

// readingsOf lists the ways of reading the records of a study with this
// protocol, its own first. Each changes one thing.
func readingsOf(p study.Protocol, own *ratioFits) []reading {
	readings := []reading{{what: "as the protocol says", own: true}}
	other := func(what string, change func(*study.Protocol)) {
		changed := p
		change(&changed)
		if len(changed.Validate()) == 0 && changed != p {
			readings = append(readings, reading{what: what, protocol: &changed})
		}
	}
	switch p.Estimand {
	case study.ToTopper:
		other("toppers count as usual care", func(p *study.Protocol) { p.Estimand = study.AsMaintained })
	case study.AsMaintained:
		other("followed up to the first topper", func(p *study.Protocol) { p.Estimand = study.ToTopper })
	}
	for _, threshold := range otherThresholds(p) {
		other("threshold "+thresholdWords(p.Metric, threshold), func(p *study.Protocol) { p.Threshold = threshold })
	}
	if p.Confirm > 1 {
		other("one fail counts at once", func(p *study.Protocol) { p.Confirm = 1 })
	} else {
		other("fails count once confirmed", func(p *study.Protocol) { p.Confirm = 2 })
	}
	if words, laws := own.nextLaws(); laws != nil {
		readings = append(readings, reading{what: words, plan: func(p *ratioPlan) { p.laws = laws }})
	}
	return append(readings,
		reading{what: "vehicles that carry both, alone", matched: true},
		reading{what: "climate and orientation left out", plan: func(p *ratioPlan) { p.adjusted = false }},
		reading{what: "spent on checkup days", mistake: true, of: (*coatingSample).asIfSpentOn},
		reading{what: "patches taken as independent", mistake: true, plan: func(p *ratioPlan) { p.clustered = false }})
}

// otherThresholds are the thresholds about a protocol's own: of angles 10 and 5
// degrees below and 5 above, which makes 80, 85 and 95 of 90; of grades one below
// and one above; of sheet times and wet shares twice, one and a half times and
// three quarters of it.
func otherThresholds(p study.Protocol) []float64 {
	t := p.Threshold
	switch p.Metric {
	case study.Angle:
		return []float64{t - 10, t - 5, t + 5}
	case study.BeadGrade:
		return []float64{t - 1, t + 1}
	}
	return []float64{2 * t, 1.5 * t, 0.75 * t}
}

func thresholdWords(m study.Metric, threshold float64) string {
	switch m {
	case study.Angle:
		return fmt.Sprintf("%g°", threshold)
	case study.BeadGrade:
		return fmt.Sprintf("grade %g", threshold)
	case study.SheetTime:
		return fmt.Sprintf("%g s", threshold)
	}
	return fmt.Sprintf("%g %s", threshold, m.Unit())
}

// read adds a reading.
func (c *FleetComparison) read(r reading, fleet study.Fleet, o ComparisonOptions, s *coatingSample, own *ratioFits) error {
	if r.protocol != nil {
		s = newCoatingSample(o.of(fleet.Follow(*r.protocol)))
	}
	if r.of != nil {
		s = r.of(s)
	}
	plan := ratioPlan{adjusted: true, clustered: true, level: c.Level, laws: own.laws()}
	if r.plan != nil {
		r.plan(&plan)
	}
	read := Reading{What: r.what, Mistake: r.mistake}
	all := own
	if !r.own && !r.matched {
		if all = s.ratios(plan); all.err != nil {
			return all.err
		}
	}
	for _, pair := range c.Pairs {
		fits, two := all, s.pair(pair.A, pair.B)
		if r.matched {
			two = s.matched(pair.A, pair.B)
			if fits = two.ratios(plan); fits.err != nil {
				return fits.err
			}
		}
		n := two.side()
		found := ReadRatio{Patches: n.Patches, Spent: n.Spent}
		found.Ratio, found.Why = fits.ratio(pair.A, pair.B)
		found.Change = changeOf(pair.Ratio, found.Ratio)
		read.Ratios = append(read.Ratios, found)
	}
	c.Readings = append(c.Readings, read)
	return nil
}

// laws are the distributions of the models, by coating.
func (f *ratioFits) laws() map[string]aft.Distribution {
	laws := map[string]aft.Distribution{}
	for _, m := range f.models {
		for _, code := range m.Coatings {
			laws[code] = m.law
		}
	}
	return laws
}

// nextLaws are the next best distributions with what to call them; nil where
// there are none.
func (f *ratioFits) nextLaws() (words string, laws map[string]aft.Distribution) {
	for _, m := range f.models {
		if m.nextLaw == nil {
			continue
		}
		if laws == nil {
			laws = f.laws()
		}
		for _, code := range m.Coatings {
			laws[code] = *m.nextLaw
		}
		words = fmt.Sprintf("%s lives, not %s", lawWords(m.nextLaw.String()), lawWords(m.Law))
	}
	if len(f.models) > 1 {
		words = "lives of the next best distribution"
	}
	return words, laws
}
