package survival

import (
	"math"
	"sort"
)

// Curve is an estimate of S(t) = P(life > t) that falls at the times at which
// lives ended.
type Curve struct {
	N      int     // spans
	Lives  float64 // that the spans stand for: the sum of their weights
	Events float64 // lives that ended
	Level  float64 // confidence level of the limits
	Scale  Scale   // scale on which the limits are symmetric
	Steps  []Step  // one for each time at which a life ended or was censored, in order

	arrivals []arrival // of late entrants, for counts at any time
}

// Step is the estimate from its Time up to, not including, the next one's.
// Counts of lives are sums of weights: whole numbers where none were given.
type Step struct {
	Time         float64
	AtRisk       float64 // lives watched and holding just before Time
	Events       float64 // lives that ended at Time
	Censored     float64 // lives last seen at Time; they outlived its events
	Survival     float64 // S(Time)
	SE           float64 // of Survival; NaN once Survival is 0
	Lower, Upper float64 // limits of Survival; NaN where Curve.Scale does not define them
}

// Hazard returns the cumulative hazard −log Survival of a life at the Step's
// time and its standard error. For a Kaplan–Meier curve the error is NaN once
// Survival is 0 and the hazard infinite.
func (s Step) Hazard() (hazard, se float64) {
	return -math.Log(s.Survival), s.SE / s.Survival
}

// counted returns a Curve whose Steps have counts but no estimate.
func counted(spans []Span, level float64) (*Curve, []heads, error) {
	if err := validLevel(level); err != nil {
		return nil, nil, err
	}
	line, err := newTimeline(spans)
	if err != nil {
		return nil, nil, err
	}
	c := &Curve{N: len(spans), Level: level, Steps: line.steps()}
	of := line.heads()
	c.arrivals = line.risk(c.Steps, of)
	for _, s := range c.Steps {
		c.Events += s.Events
		c.Lives += s.Events + s.Censored
	}
	return c, of, nil
}

// AtRisk counts the lives at risk at t: watched since before t, and neither
// ended nor censored before t.
func (c *Curve) AtRisk(t float64) float64 {
	step := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Time >= t })
	come := sort.Search(len(c.arrivals), func(i int) bool { return c.arrivals[i].time >= t })
	switch {
	case step == len(c.Steps):
		return 0
	case come < len(c.arrivals) && c.arrivals[come].time < c.Steps[step].Time:
		return c.arrivals[come].before
	}
	return c.Steps[step].AtRisk
}

// At returns the estimate at time t: the Step in force, with Time t, no events
// of its own and the number at risk at t. Before the first Step, S is 1. Past
// the last Time nothing is known unless S has reached 0: Survival, SE and
// limits are NaN.
func (c *Curve) At(t float64) Step {
	at := Step{Time: t, AtRisk: c.AtRisk(t), Survival: 1}
	at.Lower, at.Upper = c.Scale.limits(1, 0)
	next := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Time > t })
	if next > 0 {
		s := c.Steps[next-1]
		at.Survival, at.SE, at.Lower, at.Upper = s.Survival, s.SE, s.Lower, s.Upper
	}
	if c.beyond(t) {
		at.Survival, at.SE, at.Lower, at.Upper = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	return at
}

// beyond reports whether nothing is known of S at t: it lies past the last
// sight of anything, and S has not reached 0.
func (c *Curve) beyond(t float64) bool {
	last := c.Steps[len(c.Steps)-1]
	return t > last.Time && last.Survival > 0
}
