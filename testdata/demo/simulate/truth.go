package simulate

import (
	"math"
	"slices"

	"beadspan/study"
)

// Truth is what is true of the lives of a coating in one climate, or in the
// mix of climates in which the study's vehicles live.
type Truth struct {
	Coating string
	Climate string // Köppen-Geiger class, or AllClimates

	MedianLifeMonths float64
	S12, S24         float64 // share of patches whose life is longer than 12 or 24 months

	// Standard errors of the figures above, which are themselves counted from
	// TruthPatches patches.
	MedianSE, S12SE, S24SE float64
}

// AllClimates stands for the mix of climates in which the vehicles live.
const AllClimates = "all"

// TruthPatches is the number of patches drawn for each row of the truth.
const TruthPatches = 200_000

// Truths draws many patches for each coating and climate from the population
// from which the study's vehicles are drawn, and counts how long they last. A
// life is the time in service until the clean angle falls below the threshold;
// nothing of visits, film, noise or care enters.
func Truths(seed uint64) []Truth {
	var truths []Truth
	mix := shopMix()
	for _, p := range products() {
		if p.control {
			continue
		}
		for _, s := range shops() {
			c := newChance(seed, truthStream+uint64(len(truths)))
			truths = append(truths, truthOf(p, s.climate(), func() shop { return s }, c))
		}
		c := newChance(seed, truthStream+uint64(len(truths)))
		truths = append(truths, truthOf(p, AllClimates, func() shop { return draw(c, mix) }, c))
	}
	return truths
}

// truthStream numbers the streams of the truth far above those of vehicles.
const truthStream = 1 << 32

// shopMix draws shops as often as the study has vehicles of them.
func shopMix() []weighted[shop] {
	all, vehicles := shops(), 0
	for _, s := range all {
		vehicles += s.vehicles
	}
	mix := make([]weighted[shop], len(all))
	for i, s := range all {
		mix[i] = weighted[shop]{float64(s.vehicles) / float64(vehicles), s}
	}
	return mix
}

func truthOf(p product, climate string, at func() shop, c chance) Truth {
	lives := make([]float64, TruthPatches)
	for i := range lives {
		lives[i] = c.lifeMonths(p, at())
	}
	slices.Sort(lives)
	t := Truth{Coating: p.code, Climate: climate}
	t.MedianLifeMonths, t.MedianSE = medianOf(lives)
	t.S12, t.S12SE = shareBeyond(lives, 12)
	t.S24, t.S24SE = shareBeyond(lives, 24)
	return t
}

// lifeMonths draws one patch of a product at a shop, and how long it lasts.
func (c chance) lifeMonths(p product, at shop) float64 {
	d := c.decay(upbringing{
		product:     p,
		climate:     at.climate(),
		orientation: c.panels(1)[0].orientation,
		garage:      draw(c, at.garages),
		job:         c.job(at, c.stay().applied),
		vehicle:     c.normal(0, vehicleSD),
	})
	return d.lifeDays() / study.DaysPerMonth
}

// medianOf takes the median of sorted lives. Its error is half the distance
// between the order statistics one standard deviation of the binomial rank to
// either side.
func medianOf(lives []float64) (median, se float64) {
	n := len(lives)
	spread := int(math.Sqrt(float64(n)) / 2)
	return (lives[n/2-1] + lives[n/2]) / 2, (lives[n/2+spread] - lives[n/2-spread]) / 2
}

func shareBeyond(lives []float64, months float64) (share, se float64) {
	first, _ := slices.BinarySearchFunc(lives, months, func(life, months float64) int {
		if life > months {
			return 1
		}
		return -1
	})
	n := float64(len(lives))
	share = (n - float64(first)) / n
	return share, math.Sqrt(share * (1 - share) / n)
}
