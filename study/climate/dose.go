package climate

// Dose is the ultraviolet radiation, 295 to 385 nm, that panels get in some
// time, MJ/m². Vertical is the mean of all headings unless a Place asks for
// one.
type Dose struct {
	HorizontalMJm2 float64 `json:"horizontal_mj_m2"`
	VerticalMJm2   float64 `json:"vertical_mj_m2"`
}

func (d Dose) plus(e Dose) Dose {
	return Dose{d.HorizontalMJm2 + e.HorizontalMJm2, d.VerticalMJm2 + e.VerticalMJm2}
}

// OnPanel is the radiation of a month on a panel, in the unit of global, the
// month's radiation on a horizontal plane:
//
//	H [ (1 − d) Rb + d (1 + cos β)/2 + ρ (1 − cos β)/2 ]
//
// with d the diffuse fraction, Rb the panel's BeamRatio, β its tilt, ρ the
// ground's reflectance: the sky is taken to be equally bright all over.
//
// Source: Liu and Jordan, Solar Energy 7 (1963) 53–74.
func OnPanel(p Panel, global, diffuseFraction, beamRatio, groundReflectance float64) float64 {
	sky := p.SkyShare()
	return global * ((1-diffuseFraction)*beamRatio + diffuseFraction*sky + groundReflectance*(1-sky))
}

// dosing is what the doses of a month at a place depend on beside its clouds.
type dosing struct {
	Assumptions
	raMJ        float64 // Ra of the month
	sunsetAngle float64 // in its middle
	vertical    Panel
	beamRatio   float64 // of vertical
}

func (p Place) dosing(month int, raMJ float64, a Assumptions) dosing {
	first, last := monthSpan(month)
	vertical := VerticalPanel()
	vertical.HeadingDeg = p.HeadingDeg
	return dosing{
		Assumptions: a,
		raMJ:        raMJ,
		sunsetAngle: SunsetAngle(p.LatitudeDeg, (first+last)/2),
		vertical:    vertical,
		beamRatio:   vertical.BeamRatio(p.LatitudeDeg, month),
	}
}

// dose is the ultraviolet dose of the month at a clearness Rs/Ra.
func (d dosing) dose(clearness float64) Dose {
	horizontal := d.UVShare * clearness * d.raMJ
	diffuse := DiffuseFraction(clearness, d.sunsetAngle)
	return Dose{horizontal, OnPanel(d.vertical, horizontal, diffuse, d.beamRatio, d.GroundReflectance)}
}
