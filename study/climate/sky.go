package climate

import "math"

// Sky is what the clouds of a place were judged by.
type Sky string

// From the surest to the least sure.
const (
	SkySunshine  Sky = "sunshine"   // sunshine hours, by Angstrom
	SkyCloud     Sky = "cloud"      // cloud cover, by Angstrom
	SkyUVDose    Sky = "uv_dose"    // a known yearly dose, spread over the year
	SkyTempRange Sky = "temp_range" // daily maximum and minimum, by RangeRadiation
	SkyUnknown   Sky = "unknown"    // nothing: only limits can be told
)

// DiffuseFraction is the share of a month's global radiation that comes from
// the sky and not straight from the sun, by the clearness KT = Rs/Ra:
//
//	ωs ≤ 81.4°: 1.391 − 3.560 KT + 4.189 KT² − 2.137 KT³
//	ωs > 81.4°: 1.311 − 3.022 KT + 3.427 KT² − 1.821 KT³
//
// ωs is the sunset angle in the middle of the month, in radians. The formula
// was fitted for KT from 0.3 to 0.8; beyond, it is continued and held within 0
// and 1. It was made for all of sunlight: of ultraviolet more is diffuse, which
// matters for a panel that faces one heading, and little for the mean of all.
//
// Source: Erbs, Klein and Duffie, Solar Energy 28 (1982) 293–302.
func DiffuseFraction(clearness, sunsetAngle float64) float64 {
	k := clearness
	f := 1.311 - 3.022*k + 3.427*k*k - 1.821*k*k*k
	if sunsetAngle <= radians(81.4) {
		f = 1.391 - 3.560*k + 4.189*k*k - 2.137*k*k*k
	}
	return math.Max(0, math.Min(1, f))
}

// SpreadSunshine gives each month its part of a year's sunshine hours, in
// proportion to its daylight.
func SpreadSunshine(latitudeDeg, yearH float64) Monthly {
	daylight := daylightHours(latitudeDeg)
	year := daylight.Sum()
	return daylight.each(func(_ int, h float64) float64 { return yearH * h / year })
}

// daylightHours are the hours of daylight of each month.
func daylightHours(latitudeDeg float64) Monthly {
	return overDays(func(day int) float64 { return Daylight(latitudeDeg, day) })
}

// extraterrestrialMJ is Ra summed over the days of each month, MJ/m².
func extraterrestrialMJ(latitudeDeg float64) Monthly {
	return overDays(func(day int) float64 { return Extraterrestrial(latitudeDeg, day) })
}

// overDays sums f over the days of each month.
func overDays(f func(day int) float64) (m Monthly) {
	for month := range m {
		first, last := monthSpan(month)
		for day := first; day <= last; day++ {
			m[month] += f(day)
		}
	}
	return m
}

// sky judges the clouds of a place by the surest that is known of them, and
// gives each month's clearness Rs/Ra. The clearness means nothing when the sky
// is unknown.
func (p Place) sky(a Assumptions) (Sky, Monthly) {
	var clearness Monthly
	switch n := p.Normals; {
	case n.SunshineH != nil:
		daylight := daylightHours(p.LatitudeDeg)
		return SkySunshine, n.SunshineH.each(func(m int, h float64) float64 {
			if daylight[m] == 0 {
				return Angstrom(1, 0)
			}
			return Angstrom(1, math.Min(1, h/daylight[m]))
		})
	case n.CloudPct != nil:
		return SkyCloud, n.CloudPct.each(func(_ int, pct float64) float64 { return Angstrom(1, 1-pct/100) })
	case p.UVMJm2Year != nil:
		share := *p.UVMJm2Year / (a.UVShare * extraterrestrialMJ(p.LatitudeDeg).Sum())
		return SkyUVDose, clearness.each(func(int, float64) float64 { return share })
	case n.MaxTempC != nil && n.MinTempC != nil:
		return SkyTempRange, clearness.each(func(m int, _ float64) float64 {
			return RangeRadiation(1, n.MaxTempC[m], n.MinTempC[m], a.TempRangeFactor, p.altitude())
		})
	}
	return SkyUnknown, clearness
}
