package reports

import (
	"errors"
	"fmt"
	"math"

	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// ImpliedLife is how long patches last by their curves: until each comes down to
// the threshold. It ends with the last reading, beyond which nobody has seen a
// curve.
type ImpliedLife struct {
	// Median is the time by which half have; its Months are +Inf where fewer have
	// by the last reading.
	Median HalfLife
	// Tenth and NineTenths are by when a tenth and nine tenths have, in months;
	// +Inf where that is not by the last reading.
	Tenth, NineTenths float64
	// Points are the share that still holds, at every half month.
	Points []Share
	// Agreement compares it with Turnbull's estimate of the same patches' lives;
	// nil where that has none.
	Agreement *LifeAgreement

	life *mixed.Life
}

// LifeAgreement is how far the implied life and the one seen at checkups are
// apart. Both rest on the same patches; they are never averaged.
type LifeAgreement struct {
	Seen     Median
	ToMonths float64 // compared from 0 to here
	// LeastLonger and MostLonger are between what the implied life is longer, on
	// average up to ToMonths; the checkups leave the rest open.
	LeastLonger, MostLonger float64
	// GapShare is the largest distance of the implied share from what the
	// checkups allow, above 0 where more hold by the curves, at GapMonths.
	GapShare, GapMonths float64
	// Within is the share of the time in which the implied share lies within the
	// limits of the other; nil where those are not known throughout. Outside lists
	// where it doesn't.
	Within  *float64
	Outside []Limits
}

// How many populations and patches of each are drawn for a life, and patches for
// its tenths.
const (
	drawnPopulations = 300
	drawnPatches     = 800
	drawnForTenths   = 4000
)

// impliedLife works out the life that the fit implies.
func (p *DecayPopulation) impliedLife(threshold, level float64, seed uint64) (*ImpliedLife, error) {
	life, err := p.fit.Draw(drawnPopulations, seed).Life(mixed.LifeOptions{
		Threshold: threshold, Times: gridDays(p.last / study.DaysPerMonth), Level: level,
		Mix: []mixed.Kind{{Share: 1}}, Groups: drawnPatches, Seed: seed,
	})
	if err != nil {
		return nil, err
	}
	implied := &ImpliedLife{life: life, Median: HalfLife{
		life.Median.Value / study.DaysPerMonth,
		Limits{life.Median.Lower / study.DaysPerMonth, life.Median.Upper / study.DaysPerMonth},
	}}
	for _, at := range life.Points {
		implied.Points = append(implied.Points, Share{at.Time / study.DaysPerMonth, at.Above, at.Above, at.Above, limitsOf(at.Lower, at.Upper)})
	}
	passage, err := p.fit.Typical(nil).Passage(threshold, p.last, drawnForTenths, seed)
	if err != nil {
		return nil, err
	}
	for share, into := range map[float64]*float64{0.1: &implied.Tenth, 0.9: &implied.NineTenths} {
		days, _ := passage.Quantile(share)
		*into = days / study.DaysPerMonth
	}
	return implied, nil
}

// compareLives sets the implied life beside the coating's row of the table of
// life.
func (d *Decay) compareLives(life *Life) error {
	row, found := life.Row(Group{Coating: d.Coating})
	if !found || row.Curve == nil || d.Population == nil || d.Population.Life == nil {
		return nil
	}
	d.seen = row.Curve
	implied := d.Population.Life
	grid := gridDays(d.Population.last / study.DaysPerMonth)
	var seen []mixed.Seen
	for i, share := range row.Curve.Points[:min(len(grid), len(row.Curve.Points))] {
		at := mixed.Seen{Time: grid[i], Least: clamped(share.AtLeast), Most: clamped(share.AtMost), Lower: math.NaN(), Upper: math.NaN()}
		if share.Limits != nil {
			at.Lower, at.Upper = share.Limits.Low, share.Limits.High
		}
		seen = append(seen, at)
	}
	if len(seen) < 2 {
		return nil
	}
	a, err := implied.life.Agree(seen)
	if errors.Is(err, mixed.ErrNoOverlap) {
		return nil
	}
	if err != nil {
		return err
	}
	agreement := &LifeAgreement{
		Seen: *row.Median, ToMonths: a.To / study.DaysPerMonth,
		LeastLonger: a.LeastLonger / study.DaysPerMonth, MostLonger: a.MostLonger / study.DaysPerMonth,
		GapShare: a.Gap, GapMonths: a.GapAt / study.DaysPerMonth,
		Within: finite(a.Within),
	}
	for _, s := range a.Outside {
		agreement.Outside = append(agreement.Outside, Limits{s.From / study.DaysPerMonth, s.To / study.DaysPerMonth})
	}
	implied.Agreement = agreement
	return nil
}

// clamped takes rounding off a share.
func clamped(share float64) float64 { return min(1, max(0, share)) }

// LivesFinding says in one sentence what either estimate of life says; empty
// where one is missing.
func (d Decay) LivesFinding() string {
	if d.Population == nil || d.Population.Life == nil || d.Population.Life.Agreement == nil {
		return ""
	}
	implied, seen := d.Population.Life.Median, d.Population.Life.Agreement.Seen
	bySeen := "checkups show " + months(seen.Months) + inBrackets(seen.Limits)
	if math.IsInf(seen.Months, 1) {
		bySeen = "by checkups fewer than half were spent"
	}
	if math.IsInf(implied.Months, 1) {
		return fmt.Sprintf("By their curves fewer than half of %s’s patches fall to %s within %s months; %s",
			d.Coating, degrees(*d.ThresholdDeg), months(d.Population.last/study.DaysPerMonth), bySeen)
	}
	return fmt.Sprintf("By their curves half of %s’s patches fall to %s by %s months%s; %s",
		d.Coating, degrees(*d.ThresholdDeg), months(implied.Months), inBrackets(&implied.Limits), bySeen)
}

// Sentence says in words how far the two lives are apart.
func (a *LifeAgreement) Sentence() string {
	words := fmt.Sprintf("Over the first %s months the life by the curves is %s than the one by the checkups, on average.",
		months(a.ToMonths), longerWords(a.LeastLonger, a.MostLonger))
	switch {
	case a.Within == nil:
		words += fmt.Sprintf(" The shares differ most at %s months, by %s.", months(a.GapMonths), points(a.GapShare))
	case len(a.Outside) == 0:
		words += " It lies within the checkups’ limits throughout."
	default:
		words += fmt.Sprintf(" It lies within the checkups’ limits for %s of that time, and outside %s, where the shares differ by up to %s.",
			percent(*a.Within), stretchWords(a.Outside), points(a.GapShare))
	}
	return words + " The two are not averaged."
}

// points writes a difference of shares.
func points(difference float64) string {
	return fmt.Sprintf("%.0f percentage points", 100*math.Abs(difference))
}

// longerWords tells a range of differences: "0.2 to 0.5 months shorter".
func longerWords(least, most float64) string {
	switch {
	case most < 0:
		return monthRange(-most, -least) + " shorter"
	case least > 0:
		return monthRange(least, most) + " longer"
	}
	return fmt.Sprintf("between %s months shorter and %s months longer", months(math.Abs(least)), months(most))
}

// monthRange writes "0.4 to 0.6 months", and one number where both are the same
// to a tenth.
func monthRange(low, high float64) string {
	if months(low) == months(high) {
		return months(low) + " months"
	}
	return months(low) + " to " + months(high) + " months"
}

// mostStretches is how many stretches of time a sentence lists.
const mostStretches = 3

func stretchWords(stretches []Limits) string {
	if len(stretches) > mostStretches {
		return fmt.Sprintf("in %d stretches between months %s", len(stretches), monthLimits(Limits{stretches[0].Low, stretches[len(stretches)-1].High}))
	}
	var words []string
	for _, s := range stretches {
		words = append(words, monthLimits(s))
	}
	return "in months " + listed(words)
}
