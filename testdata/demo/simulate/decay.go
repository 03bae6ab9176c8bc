package simulate

import (
	"math"

	"beadspan/study"
)

// How the latent clean angle begins and ends, in degrees, and how lives differ.
const (
	startDeg, startSD = 110.0, 1.6
	floorDeg, floorSD = 76.0, 1.5
	lowestStartDeg    = 105.0
	highestFloorDeg   = 80.0
	lowestFloorDeg    = 72.0

	// SDs of the logarithm of the life.
	vehicleSD = 0.17 // the driver's habits, shared by a vehicle's patches
	patchSD   = 0.16
)

func thresholdDeg() float64 { return study.DefaultProtocol().Threshold }

// orientationLife and garageLife are shares of a middling patch's life.
func orientationLife(o study.Orientation) float64 {
	if o == study.Horizontal { // more sun, more standing water
		return 0.90
	}
	return 1.06
}

func garageLife(g study.Garage) float64 {
	switch g {
	case study.Indoors:
		return 1.10
	case study.Outdoors:
		return 0.92
	}
	return 1
}

// decay is a patch's latent clean angle over its days of service.
type decay struct {
	start, floor float64 // degrees
	tau          float64 // days
}

// angleDeg is the clean angle after some days of service.
func (d decay) angleDeg(days float64) float64 {
	return d.floor + (d.start-d.floor)*math.Exp(-math.Max(0, days)/d.tau)
}

// lifeDays is the time at which the clean angle falls to the threshold.
func (d decay) lifeDays() float64 {
	return d.tau * math.Log((d.start-d.floor)/(thresholdDeg()-d.floor))
}

// upbringing is what the life of a patch depends on, apart from luck.
type upbringing struct {
	product     product
	climate     string
	orientation study.Orientation
	garage      study.Garage
	job         study.Job
	// vehicle is the logarithm of the share of life that its driver gives or takes.
	vehicle float64
}

// decay draws how a patch with this upbringing fares.
func (c chance) decay(u upbringing) decay {
	d := decay{
		start: math.Max(lowestStartDeg, c.normal(startDeg, startSD)),
		floor: math.Min(highestFloorDeg, math.Max(lowestFloorDeg, c.normal(floorDeg, floorSD))),
	}
	if u.product.control {
		// Bare paint or film begins near its floor and hardly moves.
		d.start, d.tau = d.floor+3, daysPerYear
		return d
	}
	middling := u.product.lifeMonths[u.climate] * study.DaysPerMonth
	life := middling * orientationLife(u.orientation) * garageLife(u.garage) * jobLife(u.job) *
		math.Exp(u.vehicle+c.normal(0, patchSD))
	// τ is set for a middling start and floor, so that these move the life too.
	d.tau = life / math.Log((startDeg-floorDeg)/(thresholdDeg()-floorDeg))
	return d
}
