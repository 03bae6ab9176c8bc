package mixed

import (
	"math"
	"math/rand/v2"

	"beadspan/study"
)

// world is a way in which readings of the demo's patches, on the days on which
// they were read clean, come about from curves of a shape and errors of a law.
type world struct {
	name  string
	model func(start []float64) CurveModel // to be fitted; nil for the fall that is chosen
	shape func(share float64) float64      // of the middling life: what is left of the fall, 14/34 at 1
	last  func(left float64) float64       // its inverse
	error func(random *rand.Rand) float64
}

// What the curves of a world vary by: the demo's figures, in the terms of
// demoModel.
const (
	worldStart, worldStartSD = 110.0, 1.6
	worldFloor, worldFloorSD = 76.0, 1.5
	worldLife                = 18 * study.DaysPerMonth
	worldVehicle, worldPatch = 0.17, 0.16
	worldError               = 1.9
	leftAtLife               = (worldThreshold - worldFloor) / (worldStart - worldFloor)
)

var worldEffects = []float64{math.Log(16.5 / 18), math.Log(10.5 / 18), math.Log(14. / 18), math.Log(0.9 / 1.06), math.Log(1.1), math.Log(0.92)}

func worlds() []world {
	normal := func(random *rand.Rand) float64 { return worldError * random.NormFloat64() }
	heavy := func(random *rand.Rand) float64 { // t with 3 degrees of freedom, of the same SD
		chi := 0.0
		for range 3 {
			z := random.NormFloat64()
			chi += z * z
		}
		return worldError / math.Sqrt(3) * random.NormFloat64() / math.Sqrt(chi/3)
	}
	rate := -math.Log(leftAtLife)
	exponential := func(share float64) float64 { return math.Exp(-rate * share) }
	lastExponential := func(left float64) float64 { return -math.Log(left) / rate }
	const power = 1.5
	stretched := func(share float64) float64 { return math.Exp(-rate * math.Pow(share, power)) }
	lastStretched := func(left float64) float64 { return math.Pow(-math.Log(left)/rate, 1/power) }
	// 1/(1 + e^(4(x − c)/c)), over its value at 0, with c such that x = 1 leaves leftAtLife.
	whole := 1 + math.Exp(-4)
	c := 4 / (4 + math.Log(whole/leftAtLife-1))
	logistic := func(share float64) float64 { return whole / (1 + math.Exp(4*(share-c)/c)) }
	lastLogistic := func(left float64) float64 { return c * (1 + math.Log(whole/left-1)/4) }
	return []world{
		{"exponential", demoModel, exponential, lastExponential, normal},
		{"heavy-tails", demoModel, exponential, lastExponential, heavy},
		{"stretched", demoModel, stretched, lastStretched, normal},
		{"stretched-as-such", stretchedDemoModel, stretched, lastStretched, normal},
		{"logistic", demoModel, logistic, lastLogistic, normal},
		{"exponential-chosen", nil, exponential, lastExponential, normal},
		{"heavy-tails-chosen", nil, exponential, lastExponential, heavy},
		{"stretched-chosen", nil, stretched, lastStretched, normal},
		{"logistic-chosen", nil, logistic, lastLogistic, normal},
	}
}

// worldCurve is a patch of a world.
type worldCurve struct {
	world
	start, floor, middling float64
}

func (c worldCurve) at(day float64) float64 {
	return c.floor + (c.start-c.floor)*c.shape(day/c.middling)
}

func (c worldCurve) life(threshold float64) float64 {
	return c.middling * c.last((threshold-c.floor)/(c.start-c.floor))
}

// curve draws a patch of a vehicle.
func (w world) curve(random *rand.Rand, covariates []float64, vehicle float64) worldCurve {
	logLife := math.Log(worldLife) + vehicle + worldPatch*random.NormFloat64()
	for j, x := range covariates {
		logLife += worldEffects[j] * x
	}
	return worldCurve{w, worldStart + worldStartSD*random.NormFloat64(), worldFloor + worldFloorSD*random.NormFloat64(), math.Exp(logLife)}
}
