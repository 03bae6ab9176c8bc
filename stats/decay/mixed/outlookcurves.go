package mixed

import (
	"math"
	"math/rand/v2"
	"slices"
)

// curves are the values of the curves that agree with what is known.
type curves struct {
	ask      OutlookOptions
	drawn    int
	kept     int
	values   [][]float64 // by time, of each curve kept
	readings [][]float64
	below    []int // by time, how many curves have come down
}

// curves draws from every population.
func (p *Populations) curves(group *posterior, covariates []float64, ask OutlookOptions) *curves {
	l := p.fit.fleet
	drawn := &curves{
		ask: ask, below: make([]int, len(ask.Times)),
		values: make([][]float64, len(ask.Times)), readings: make([][]float64, len(ask.Times)),
	}
	random, errors := rand.New(rand.NewPCG(ask.Seed, 1)), rand.New(rand.NewPCG(ask.Seed, 2))
	η, φ, gradient := make([]float64, len(l.parameters)), make([]float64, len(l.parameters)), make([]float64, len(l.parameters))
	value := func(time float64) float64 {
		copy(φ, η)
		return l.value(φ, time, gradient)
	}
	b, c := make([]float64, l.q1), make([]float64, l.q2)
	for _, of := range p.list {
		if !group.given(of) {
			continue
		}
		for range ask.Curves {
			l.sum(η, of.β, covariates)
			group.draw(random, of, b, c)
			for j, k := range l.outerParams {
				η[k] += b[j]
			}
			for j, k := range l.innerParams {
				η[k] += c[j]
			}
			drawn.take(value, of.σ/math.Sqrt(ask.Weight), errors)
		}
	}
	return drawn
}

// take adds one curve, if it agrees.
func (c *curves) take(value func(time float64) float64, error float64, random *rand.Rand) {
	c.drawn++
	if c.ask.HeldAt != nil && !(value(*c.ask.HeldAt) > c.ask.Threshold) {
		return
	}
	c.kept++
	down := false
	for i, time := range c.ask.Times {
		v := value(time)
		down = down || v <= c.ask.Threshold && (c.ask.HeldAt == nil || time > *c.ask.HeldAt)
		if down {
			c.below[i]++
		}
		c.values[i] = append(c.values[i], v)
		c.readings[i] = append(c.readings[i], v+error*random.NormFloat64())
	}
}

func (c *curves) agreeing() float64 { return float64(c.kept) / float64(max(1, c.drawn)) }

func (c *curves) points(f *CurvesFit) []OutlookPoint {
	list := make([]OutlookPoint, len(c.ask.Times))
	tail := (1 - c.ask.Level) / 2
	for i, time := range c.ask.Times {
		slices.Sort(c.values[i])
		slices.Sort(c.readings[i])
		list[i] = OutlookPoint{
			Time: time, Extrapolated: time > f.Last, Below: float64(c.below[i]) / float64(c.kept),
			Value: share(c.values[i], 0.5), Lower: share(c.values[i], tail), Upper: share(c.values[i], 1-tail),
			NewLower: share(c.readings[i], tail), NewUpper: share(c.readings[i], 1-tail),
		}
	}
	return list
}

// share returns the value below which a share of sorted values lies.
func share(sorted []float64, of float64) float64 {
	at := int(math.Ceil(of*float64(len(sorted)))) - 1
	return sorted[min(len(sorted)-1, max(0, at))]
}

// groupsLearntFrom is how many groups the spread is known from, at the level
// that has the fewest.
func (f *CurvesFit) groupsLearntFrom() int {
	groups := math.MaxInt
	for _, s := range []Spread{f.Outer, f.Inner} {
		if len(s.Effects) > 0 {
			groups = min(groups, s.Groups)
		}
	}
	return groups
}
