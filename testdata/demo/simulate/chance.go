package simulate

import (
	"math"
	"math/rand/v2"

	"beadspan/study"
)

// chance is where the scenario's luck comes from: one stream of random numbers
// for each vehicle, so that a change to one leaves the others as they were.
type chance struct{ *rand.Rand }

func newChance(seed, stream uint64) chance {
	return chance{rand.New(rand.NewPCG(seed, stream))}
}

func (c chance) happens(probability float64) bool {
	return c.Float64() < probability
}

func (c chance) between(low, high float64) float64 {
	return low + (high-low)*c.Float64()
}

func (c chance) normal(mean, sd float64) float64 {
	return mean + sd*c.NormFloat64()
}

// days draws a whole number of days, both ends included.
func (c chance) days(low, high int) study.Day {
	return study.Day(low + c.IntN(high-low+1))
}

// dayWithin draws a day from first to last, both included.
func (c chance) dayWithin(first, last study.Day) study.Day {
	return first + c.days(0, int(last-first))
}

// waiting draws the days until something that befalls a share of all vehicles
// or patches each year.
func (c chance) waiting(sharePerYear float64) study.Day {
	yearly := -math.Log1p(-sharePerYear)
	return study.Day(c.ExpFloat64() / yearly * daysPerYear)
}

// weighted is one thing that may be drawn, and how often.
type weighted[T any] struct {
	share float64
	thing T
}

// draw takes one of the things; their shares add up to 1.
func draw[T any](c chance, things []weighted[T]) T {
	at := c.Float64()
	for _, w := range things {
		if at < w.share {
			return w.thing
		}
		at -= w.share
	}
	return things[len(things)-1].thing
}

// rounded rounds x to a multiple of step, as people write numbers down. Below 1
// it divides by a whole number, which gives the float nearest to the decimal.
func rounded(x, step float64) float64 {
	if step >= 1 {
		return math.Round(x/step) * step
	}
	perUnit := math.Round(1 / step)
	return math.Round(x*perUnit) / perUnit
}

const daysPerYear = 365.25
