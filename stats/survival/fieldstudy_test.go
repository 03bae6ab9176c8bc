package survival_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	. "beadspan/stats/survival"
)

// All lives of the simulated studies are of one Weibull distribution, in days.
const (
	aYear      = 365.25
	trueShape  = 2.0
	trueMedian = 15 * 30.4375

	frailtyIndex = 0.8366600265340756 // α: √0.7
)

// trueSurvival is P(life > t) of a patch picked from all vehicles.
func trueSurvival(t float64) float64 {
	return math.Exp(-math.Ln2 * math.Pow(t/trueMedian, trueShape))
}

// fieldStudy is how vehicles come to be seen. They are taken in over a year and
// looked at until two and a half years after its start; one in seven joins three
// to ten months after it was coated.
type fieldStudy struct {
	name                      string
	vehicles                  int
	leastPatches, mostPatches int
	leastDays, mostDays       float64 // between visits
}

var fieldStudies = []fieldStudy{
	{"many vehicles", 150, 1, 4, 35, 63},
	{"few vehicles", 15, 4, 4, 35, 63},
	{"sparse visits", 80, 1, 2, 122, 244},
	{"eight vehicles", 8, 4, 4, 35, 63},
	{"five vehicles", 5, 4, 4, 35, 63},
}

// fleet simulates what is known of the patches' lives.
func (f fieldStudy) fleet(draw *rand.Rand) (spans []Span) {
	for vehicle := range f.vehicles {
		frailty := positiveStable(draw, frailtyIndex)
		entry, visits := f.visits(draw)
		for range f.leastPatches + draw.IntN(f.mostPatches-f.leastPatches+1) {
			if life := lifeOf(draw, frailty); life > entry {
				spans = append(spans, seenAt(visits, entry, life).OfCluster(vehicle))
			}
		}
	}
	return spans
}

// lifeOf draws how long a patch lasts.
//
// Given its vehicle's frailty a, a patch has the cumulative hazard
// a (log 2)^(1/α) (t/median)^(shape/α). With a positive stable of index α, for which
// E exp(−sa) = exp(−s^α), a patch picked at random has exactly the Weibull
// distribution of trueSurvival; the logarithms of two lives on one vehicle have
// correlation 1 − α². Source: Hougaard, Biometrika 73 (1986) 671–678.
func lifeOf(draw *rand.Rand, frailty float64) float64 {
	scale := trueMedian / math.Pow(math.Ln2, 1/trueShape)
	return scale * math.Pow(draw.ExpFloat64()/frailty, frailtyIndex/trueShape)
}

// visits draws when a vehicle joins, in days of service, and when it is seen after.
func (f fieldStudy) visits(draw *rand.Rand) (entry float64, visits []float64) {
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	end := 913 - between(0, 365)
	if draw.Float64() < 0.15 {
		entry = between(90, 300)
	}
	for t := entry + between(f.leastDays, f.mostDays); t <= end; t += between(f.leastDays, f.mostDays) {
		visits = append(visits, t)
	}
	return entry, visits
}

// seenAt is what visits tell of a life.
func seenAt(visits []float64, entry, life float64) Span {
	lower := entry
	for _, t := range visits {
		if t >= life {
			return Between(lower, t).EnteredAt(entry)
		}
		lower = t
	}
	return RightCensored(lower).EnteredAt(entry)
}

// positiveStable draws a number with E exp(−sa) = exp(−s^α), by the method of
// Kanter, Ann. Probab. 3 (1975) 697–707 (from memory).
func positiveStable(draw *rand.Rand, α float64) float64 {
	u, e := math.Pi*draw.Float64(), draw.ExpFloat64()
	return math.Sin(α*u) / math.Pow(math.Sin(u), 1/α) * math.Pow(math.Sin((1-α)*u)/e, (1-α)/α)
}

// The Laplace transform says all of a positive law: at 0.5, 1 and 3 it must be
// exp(−s^α), and lives must follow the Weibull distribution they are said to, two
// of one vehicle alike by as much as they are said to. Tolerances are four standard
// errors of 200,000 draws.
func TestFieldStudiesHaveTheTruthTheyClaim(t *testing.T) {
	const n = 200_000
	draw := rand.New(rand.NewPCG(1, 1986))
	for _, s := range []float64{0.5, 1, 3} {
		sum := 0.0
		for range n {
			sum += math.Exp(-s * positiveStable(draw, frailtyIndex))
		}
		assert.InDelta(t, math.Exp(-math.Pow(s, frailtyIndex)), sum/n, 4*0.5/math.Sqrt(n))
	}
	lasted, sum, squares, products := 0.0, 0.0, 0.0, 0.0
	for range n {
		frailty := positiveStable(draw, frailtyIndex)
		a, b := math.Log(lifeOf(draw, frailty)), math.Log(lifeOf(draw, frailty))
		if a > math.Log(aYear) {
			lasted++
		}
		sum, squares, products = sum+(a+b)/2, squares+(a*a+b*b)/2, products+a*b
	}
	mean := sum / n
	assert.InDelta(t, trueSurvival(aYear), lasted/n, 4*0.5/math.Sqrt(n))
	assert.InDelta(t, 0.3, (products/n-mean*mean)/(squares/n-mean*mean), 4/math.Sqrt(n))
}
