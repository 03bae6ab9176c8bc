package survival

import (
	"errors"
	"fmt"
	"math"
)

// ErrShare is returned for a share of lives outside (0, 1).
var ErrShare = errors.New("share of lives ended must lie between 0 and 1")

// Quantile is the time by which a share P of lives has ended: the median where
// P is 0.5. +Inf means not reached within the follow-up. NaN in Lower means
// that the data define no lower limit.
type Quantile struct {
	P            float64
	Time         float64
	Lower, Upper float64 // limits at the curve's level and on its scale
}

// Quantile estimates the time by which a share p of lives has ended:
//
//	t(p) = first t with Ŝ(t) ≤ 1 − p
//
// to within 1.5e-8. Where Ŝ runs flat at exactly 1 − p any time of that stretch
// would do, and the answer is its middle: halfway to the next fall, or to the
// last time of all if there is none.
//
// The limits are the times at which the lower and the upper limit of S reach
// 1 − p by the same rule (Brookmeyer and Crowley, Biometrics 38 (1982) 29–41).
// With delayed entry a limit can dip below 1 − p and come back; of such times
// the one with the highest limit is taken, as survival software does. Where Ŝ
// falls to 0 it takes its limits with it: a lower limit that has not reached
// 1 − p by then is NaN. It panics unless 0 < p < 1.
func (c *Curve) Quantile(p float64) Quantile { return c.quantile(p, middle) }

// FirstQuantile is Quantile by the other convention, that of most textbooks:
// where Ŝ, or a limit of it, runs flat at exactly 1 − p, the answer is the start
// of that stretch and not its middle.
func (c *Curve) FirstQuantile(p float64) Quantile { return c.quantile(p, start) }

func (c *Curve) quantile(p float64, flat flat) Quantile {
	mustBeShare(p)
	q := Quantile{
		P:     p,
		Time:  c.reach(p, flat, func(s *Step) float64 { return s.Survival }),
		Lower: c.reach(p, flat, func(s *Step) float64 { return s.Lower }),
		Upper: c.reach(p, flat, func(s *Step) float64 { return s.Upper }),
	}
	if math.IsInf(q.Lower, 1) && !math.IsInf(q.Time, 1) {
		q.Lower = math.NaN()
	}
	return q
}

func mustBeShare(p float64) {
	if !(p > 0 && p < 1) {
		panic(fmt.Sprintf("survival: %v: got %v", ErrShare, p))
	}
}

// flat is which time of a flat stretch stands for it.
type flat int

const (
	middle flat = iota
	start
)

// reach returns the time at which a curve read off the steps reaches 1 − p.
func (c *Curve) reach(p float64, flat flat, height func(*Step) float64) float64 {
	level := 1 - p
	at, best := -1, math.Inf(-1)
	for i := range c.Steps {
		if h := height(&c.Steps[i]); h <= level+tieTolerance && h > best {
			at, best = i, h
		}
	}
	if at < 0 {
		return math.Inf(1)
	}
	from := c.Steps[at].Time
	if flat == start || best < level-tieTolerance {
		return from
	}
	for i := at + 1; i < len(c.Steps); i++ {
		if height(&c.Steps[i]) < best-tieTolerance {
			return (from + c.Steps[i].Time) / 2
		}
	}
	return (from + c.Steps[len(c.Steps)-1].Time) / 2
}
