package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Passage is the distribution of the time at which a curve first comes down to
// a threshold, as drawn at random.
type Passage struct {
	Threshold, Horizon float64
	Draws              int
	Times              []float64 // of the draws that crossed by Horizon, ascending; 0 for those below from the start
}

// Passage draws when curves first come down to threshold, up to a horizon. For
// the typical curve those are the groups of the population, with parameters
// and variances as estimated: the distribution of lives that the fit implies.
// For a group's own curve they are what is not known of that one group: the
// share that has crossed by a time is the probability that the group has.
//
// The same seed gives the same draws. A horizon that is not above 0 and
// finite, and fewer than 1 draw, are errors.
func (c *Curve) Passage(threshold, horizon float64, draws int, seed uint64) (*Passage, error) {
	if !(horizon > 0) || math.IsInf(horizon, 1) {
		return nil, fmt.Errorf("draw passages: horizon %g is not above 0 and finite", horizon)
	}
	if draws < 1 {
		return nil, fmt.Errorf("draw passages: %d draws are not enough", draws)
	}
	p := &Passage{Threshold: threshold, Horizon: horizon, Draws: draws}
	rows := c.spread
	if rows == nil {
		rows = c.errors
	}
	random := rand.New(rand.NewPCG(seed, 0))
	η, φ, gradient := make([]float64, len(c.η)), make([]float64, len(c.η)), make([]float64, len(c.η))
	z := make([]float64, len(rows[0]))
	value := func(time float64) float64 {
		copy(φ, η)
		return c.fit.fleet.value(φ, time, gradient)
	}
	for range draws {
		normals(random, z)
		for k, row := range rows {
			η[k] = c.η[k] + floats.Dot(row, z)
		}
		if time, crossed := firstBelow(value, threshold, horizon); crossed {
			p.Times = append(p.Times, time)
		}
	}
	slices.Sort(p.Times)
	return p, nil
}

func normals(random *rand.Rand, z []float64) {
	for i := range z {
		z[i] = random.NormFloat64()
	}
}

// By returns the share of draws that have crossed by a time, and the standard
// error that the number of draws leaves. A time after the horizon gives the
// share at the horizon.
func (p *Passage) By(time float64) (share, se float64) {
	at, found := slices.BinarySearch(p.Times, time)
	for found && at < len(p.Times) && p.Times[at] == time {
		at++
	}
	share = float64(at) / float64(p.Draws)
	return share, math.Sqrt(share * (1 - share) / float64(p.Draws))
}

// Quantile returns the time by which a share of the draws, above 0 and up to
// 1, has crossed; reached is false, and the time +Inf, if that is not by the
// horizon. The median life is Quantile(0.5).
func (p *Passage) Quantile(share float64) (time float64, reached bool) {
	at := int(math.Ceil(share*float64(p.Draws)-1e-9)) - 1
	if at >= len(p.Times) {
		return math.Inf(1), false
	}
	return p.Times[max(0, at)], true
}
