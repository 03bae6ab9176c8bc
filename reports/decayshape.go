package reports

import (
	"fmt"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// RivalFall is the best fall of the shape that was not chosen.
type RivalFall struct {
	Shape decay.Shape
	// AICAbove is by how much its AIC is above that of the fall that is shown; it is
	// below 0 where its AIC is the lower one, but not clearly.
	AICAbove float64
	// Crossing is when its typical patch comes down to the threshold; nil without
	// one.
	Crossing *decay.Crossing
}

// take makes the fall that was chosen the population's, and notes what it was
// weighed against.
func (d *Decay) take(choice *mixed.FallChoice) error {
	p := d.Population
	p.fit, p.Shape, p.FloorKnown = choice.Fit, choice.Shape, choice.FloorKnown
	if rival := choice.Against(); rival != nil {
		p.Rival = &RivalFall{Shape: rival.Shape, AICAbove: choice.Lead(rival)}
		if d.ThresholdDeg != nil {
			crossing, err := rival.Fit.Typical(nil).TimeTo(*d.ThresholdDeg, d.Level)
			if err != nil {
				return err
			}
			p.Rival.Crossing = &crossing
		}
	}
	p.noteFloor(choice, d.ControlDeg)
	p.noteShape()
	return nil
}

// noteFloor says which floor patches fall towards.
func (p *DecayPopulation) noteFloor(choice *mixed.FallChoice, control *float64) {
	bare := choice.AgainstFloor()
	switch {
	case p.FloorKnown:
		p.note("Patches are taken to fall towards floors around %s, the mean of the uncoated control panels when clean (weighted by drops); the limits take that as known.", degrees(*control))
	case control != nil && bare != nil:
		p.note("Of falls towards the uncoated panels (%s) and towards a floor of their own, the second fit better and are shown: their AIC is lower by %.1f. That floor describes the readings up to %s months; it need not be where a panel ends.",
			degrees(*control), choice.Lead(bare), months(choice.Fit.Last/study.DaysPerMonth))
	}
}

// noteShape says which shape the fall has, and why.
func (p *DecayPopulation) noteShape() {
	const stretched = "a fall that is stretched in time, setting in slowly or dragging on,"
	rival := p.Rival
	switch {
	case p.Shape == decay.StretchedShape && rival == nil:
		p.note("The fall is stretched in time, %s: no exponential could be fitted.", p.stretchWords())
	case p.Shape == decay.StretchedShape:
		p.note("The fall is stretched in time, %s: the AIC is lower by %.1f than that of an exponential%s.", p.stretchWords(), rival.AICAbove, rival.words(", by which the typical patch"))
	case rival == nil, rival.AICAbove >= 0:
		p.note("Besides the exponential, %s was tried: the readings don’t ask for it.", stretched)
	default:
		p.note("Besides the exponential, %s was fitted. Its AIC is lower by %.1f, too little with %s to leave the simpler shape for%s.",
			stretched, -rival.AICAbove, vehicles(p.Vehicles), rival.words("; by it the typical patch"))
	}
}

// stretchWords say how the fall is stretched.
func (p *DecayPopulation) stretchWords() string {
	power := p.fit.Typical(nil).Parameters()[3].Value
	how := "dragging on after a steep start"
	if power > 1 {
		how = "setting in slowly"
	}
	return fmt.Sprintf("%s (power %.2f, where that of an exponential is 1)", how, power)
}

// words go on after a subject with when it comes down; empty without a threshold.
func (r *RivalFall) words(subject string) string {
	x := r.Crossing
	switch {
	case x == nil:
		return ""
	case x.Outcome == decay.NotReached:
		return subject + " would stay above " + degrees(x.Threshold)
	case x.Outcome == decay.BelowFromStart:
		return subject + " would lie below " + degrees(x.Threshold) + " from the start"
	}
	return fmt.Sprintf("%s would come down to %s at %s months%s", subject, degrees(x.Threshold), months(x.Time/study.DaysPerMonth), inBrackets(crossingLimits(x)))
}

// shapeCell names the shape for a table.
func (p *DecayPopulation) shapeCell() string {
	if p.Power == nil {
		return string(p.Shape)
	}
	return fmt.Sprintf("%s, power %.2f", p.Shape, p.Power.Value)
}

// alikeWords say in what the readings show no differences.
func (p *DecayPopulation) alikeWords() string {
	const none = 0.01 // degrees, or of log τ
	var alike []string
	for _, effect := range []struct {
		sd    *float64
		words string
	}{
		{p.FloorSD, "where patches end"}, {&p.StartSD, "where patches start"},
		{&p.PatchSD, "how fast patches of one vehicle fall"}, {p.VehicleSD, "how fast those of different vehicles do"},
	} {
		if effect.sd != nil && *effect.sd < none {
			alike = append(alike, effect.words)
		}
	}
	if alike == nil {
		return mixed.NoSpread
	}
	return fmt.Sprintf("the best estimate of differences in %s is none, for the readings show no more than their error.", listed(alike))
}
