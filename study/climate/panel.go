package climate

import "math"

// Panel is how a surface lies. The zero value is a horizontal one.
type Panel struct {
	TiltDeg float64 // 0 horizontal, 90 vertical
	// HeadingDeg is the compass heading that the surface looks to: 0 north, 90
	// east. Nil is the mean of all headings: a vehicle is parked anyhow.
	HeadingDeg *float64
}

// VerticalPanel is a vertical surface that looks everywhere alike.
func VerticalPanel() Panel { return Panel{TiltDeg: 90} }

// PanelFacing is a surface tilted towards one compass heading.
func PanelFacing(tiltDeg, headingDeg float64) Panel {
	return Panel{TiltDeg: tiltDeg, HeadingDeg: &headingDeg}
}

// SkyShare is the part of an even sky that the panel sees, 0 to 1:
//
//	(1 + cos β)/2,  β the tilt
//
// Source: Liu and Jordan, Solar Energy 7 (1963) 53–74.
func (p Panel) SkyShare() float64 { return (1 + math.Cos(radians(p.TiltDeg))) / 2 }

// BeamRatio is the direct radiation that a panel gets in a month, divided by
// what a horizontal plane gets, as seen from outside the atmosphere:
//
//	Rb = ∑ dr ∫ max(0, cos θ) dω / ∑ dr ∫ max(0, cos θz) dω
//
// over the days of the month and the hour angles ω from sunrise to sunset; θ
// is the angle between sun and the panel's normal, θz that between sun and
// zenith. For a panel of no heading cos θ is averaged over all. Months count
// from 0; the ratio is 0 in a month without sun.
//
// The air is taken to be as clear at a low sun as at a high one. So far from
// the equator the ratio is too high in winter, when the dose is small.
//
// Source: Liu and Jordan, Solar Energy 7 (1963) 53–74; geometry as in Duffie
// and Beckman, Solar Engineering of Thermal Processes, ch. 1.6 and 2.19.
func (p Panel) BeamRatio(latitudeDeg float64, month int) float64 {
	onPanel, onHorizontal := 0.0, 0.0
	first, last := monthSpan(month)
	for day := first; day <= last; day++ {
		ωs := SunsetAngle(latitudeDeg, day)
		dω := 2 * ωs / beamSteps
		for step := range beamSteps {
			sun := sunAt(latitudeDeg, day, -ωs+(float64(step)+0.5)*dω)
			onPanel += EarthSunFactor(day) * p.facing(sun) * dω
			onHorizontal += EarthSunFactor(day) * math.Max(0, sun.up) * dω
		}
	}
	if onHorizontal == 0 {
		return 0
	}
	return onPanel / onHorizontal
}

// beamSteps per day give the ratio to about 1 in 1000.
const beamSteps = 48

// direction is a unit vector in the horizontal system of a place.
type direction struct{ east, north, up float64 }

// sunAt is where the sun stands at hour angle ω, negative before noon.
func sunAt(latitudeDeg float64, day int, ω float64) direction {
	sinφ, cosφ := math.Sincos(radians(latitudeDeg))
	sinδ, cosδ := math.Sincos(Declination(day))
	sinω, cosω := math.Sincos(ω)
	return direction{
		east:  -cosδ * sinω,
		north: cosφ*sinδ - sinφ*cosδ*cosω,
		up:    sinφ*sinδ + cosφ*cosδ*cosω,
	}
}

// facing is the cosine of the angle between the panel's normal and the sun, 0
// when the sun is behind it or below the horizon.
func (p Panel) facing(sun direction) float64 {
	if sun.up <= 0 {
		return 0
	}
	sinβ, cosβ := math.Sincos(radians(p.TiltDeg))
	if p.HeadingDeg != nil {
		sinα, cosα := math.Sincos(radians(*p.HeadingDeg))
		return math.Max(0, sinβ*(sinα*sun.east+cosα*sun.north)+cosβ*sun.up)
	}
	return meanFacing(cosβ*sun.up, sinβ*math.Hypot(sun.east, sun.north))
}

// meanFacing averages max(0, a + b cos γ) over all headings γ, b ≥ 0: the
// integral up to the heading γ0 at which the sun passes behind the panel.
func meanFacing(a, b float64) float64 {
	switch {
	case a >= b:
		return a
	case a <= -b:
		return 0
	}
	γ0 := math.Acos(-a / b)
	return (a*γ0 + b*math.Sin(γ0)) / math.Pi
}

// monthSpan is the first and the last day of a month, as days of the year.
func monthSpan(month int) (first, last int) {
	first = 1
	days := monthDays()
	for _, d := range days[:month] {
		first += d
	}
	return first, first + days[month] - 1
}
