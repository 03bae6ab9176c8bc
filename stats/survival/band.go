package survival

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// BandKind is the shape of a simultaneous band.
type BandKind int

const (
	// EqualPrecision is as many standard errors wide everywhere: a pointwise
	// limit with a larger z. Nair, Technometrics 26 (1984) 265–275.
	EqualPrecision BandKind = iota
	// HallWellner is narrower than that in the middle of the range and wider at
	// its ends. Hall and Wellner, Biometrika 67 (1980) 133–143.
	HallWellner
)

// Band holds all of the true S between From and To at once, with the confidence
// of its level; pointwise limits do so at one time only.
type Band struct {
	Kind     BandKind
	From, To float64 // the band says nothing outside of these, nor at To where S is 0
	Level    float64
	Scale    Scale
	Critical float64 // of the kind's process; see Curve.Band
	// Steps are the curve's own in force from From to To, the first at From, with
	// the band's limits for theirs.
	Steps []Step
}

// ErrBand is returned for a range of time in which a band has nothing to hold.
var ErrBand = errors.New("no life ended in the range, or S is 0 there")

// Band returns the simultaneous band of a curve, at its level and on its scale,
// for the times from from to to. With σ² the estimated variance of log Ŝ, n the
// lives and a = nσ²/(1 + nσ²), taken at both ends of the range, log Ŝ may lie off by
//
//	c(a₁, a₂) σ                 equal precision
//	k(a₁, a₂) (1 + nσ²)/√n      Hall–Wellner
//
// which the scale turns into limits of S as it does with the zσ of a pointwise
// limit. c and k, the Critical value, are what a Brownian bridge stays within
// between a₁ and a₂, divided by its own standard deviation for c. They are for
// many lives that end independently of each other.
//
// A from before the first end is put there, and a to past the last sight of
// anything, or past where S falls to 0, is put there: From and To tell. The wider
// the range, the wider the band; choose it before looking. For the widest, from
// is 0 and to +Inf.
//
// A range in which no estimate with 0 < S < 1 is in force is ErrBand.
//
// Source: Klein and Moeschberger, Survival Analysis (2nd ed. 2003), section 4.4
// (section from memory); Borgan and Liestøl, Scand. J. Stat. 17 (1990) 35–41,
// for the scales (from memory).
func (c *Curve) Band(kind BandKind, from, to float64) (*Band, error) {
	steps := c.within(from, to)
	if len(steps) == 0 {
		return nil, fmt.Errorf("band from %v to %v: %w", from, to, ErrBand)
	}
	b := &Band{Kind: kind, From: steps[0].Time, To: min(to, c.lastTime()), Level: c.Level, Scale: c.Scale, Steps: steps}
	start, end := c.bridgeTime(&steps[0]), c.bridgeTime(&steps[len(steps)-1])
	if kind == HallWellner {
		b.Critical = hallWellnerValue(c.Level, start, end)
	} else {
		b.Critical = equalPrecisionValue(c.Level, start, end)
	}
	for i := range steps {
		s := &steps[i]
		σ := s.SE / s.Survival
		half := b.Critical * σ
		if kind == HallWellner {
			half = b.Critical * (1 + c.Lives*σ*σ) / math.Sqrt(c.Lives)
		}
		s.Lower, s.Upper = c.Scale.limits(s.Survival, half)
	}
	return b, nil
}

// within returns copies of the steps with 0 < S < 1 in force between two times,
// the first put where it begins to matter.
func (c *Curve) within(from, to float64) (steps []Step) {
	if !(from <= to) {
		return nil
	}
	for i, s := range c.Steps {
		next := math.Nextafter(s.Time, math.Inf(1)) // nothing is known after the last
		if i+1 < len(c.Steps) {
			next = c.Steps[i+1].Time
		}
		if s.Time <= to && next > from && s.Survival > 0 && s.Survival < 1 {
			s.Time = max(s.Time, from)
			steps = append(steps, s)
		}
	}
	return steps
}

// lastTime is where S falls to 0 or, if it does not, the last sight of anything.
func (c *Curve) lastTime() float64 {
	zero := sort.Search(len(c.Steps)-1, func(i int) bool { return c.Steps[i].Survival == 0 })
	return c.Steps[zero].Time
}

// bridgeTime is the time of the Brownian bridge that the curve's errors follow.
func (c *Curve) bridgeTime(s *Step) float64 {
	σ := s.SE / s.Survival
	grown := c.Lives * σ * σ
	return min(grown/(1+grown), 1-1e-12)
}
