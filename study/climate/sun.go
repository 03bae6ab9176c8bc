package climate

import "math"

// solarConstant is Gsc of FAO-56, MJ m⁻² min⁻¹.
const solarConstant = 0.0820

// EarthSunFactor is the inverse relative distance between Earth and Sun on day
// J of the year, without unit:
//
//	dr = 1 + 0.033 cos(2πJ/365)
//
// Source: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), eq. 23.
func EarthSunFactor(day int) float64 {
	return 1 + 0.033*math.Cos(2*math.Pi*float64(day)/365)
}

// Declination is the sun's on day J of the year, in radians:
//
//	δ = 0.409 sin(2πJ/365 − 1.39)
//
// Source: FAO-56, eq. 24.
func Declination(day int) float64 {
	return 0.409 * math.Sin(2*math.Pi*float64(day)/365-1.39)
}

// SunsetAngle is the hour angle of sunset in radians, from 0 where the sun
// doesn't rise that day to π where it doesn't set:
//
//	ωs = acos(−tan φ tan δ), the argument held within −1 and 1
//
// Latitude in degrees, north positive, from −90 to 90. Source: FAO-56, eq. 25.
func SunsetAngle(latitudeDeg float64, day int) float64 {
	x := -math.Tan(radians(latitudeDeg)) * math.Tan(Declination(day))
	return math.Acos(math.Max(-1, math.Min(1, x)))
}

// Daylight is the time from sunrise to sunset, of the sun's centre and without
// refraction, in hours:
//
//	N = 24 ωs/π
//
// Source: FAO-56, eq. 34.
func Daylight(latitudeDeg float64, day int) float64 {
	return 24 / math.Pi * SunsetAngle(latitudeDeg, day)
}

// Extraterrestrial is the radiation of a day on a horizontal plane outside the
// atmosphere, MJ m⁻² d⁻¹; 0 in polar night:
//
//	Ra = (24·60/π) Gsc dr [ωs sin φ sin δ + cos φ cos δ sin ωs]
//
// Source: FAO-56, eq. 21.
func Extraterrestrial(latitudeDeg float64, day int) float64 {
	φ, δ, ωs := radians(latitudeDeg), Declination(day), SunsetAngle(latitudeDeg, day)
	if ωs == 0 {
		return 0 // where rounding would leave ±1e-16
	}
	ra := 24 * 60 / math.Pi * solarConstant * EarthSunFactor(day) *
		(ωs*math.Sin(φ)*math.Sin(δ) + math.Cos(φ)*math.Cos(δ)*math.Sin(ωs))
	return math.Max(0, ra)
}

// ClearSky is the radiation Rso of a day without clouds on a horizontal plane,
// in the unit of Ra, z metres above the sea:
//
//	Rso = (0.75 + 2·10⁻⁵ z) Ra
//
// Source: FAO-56, eq. 37.
func ClearSky(ra, altitudeM float64) float64 { return (0.75 + 2e-5*altitudeM) * ra }

// Angstrom is the radiation Rs on a horizontal plane, in the unit of Ra, when
// the sun shone for the given share n/N of the daylight, 0 to 1:
//
//	Rs = (0.25 + 0.50 n/N) Ra
//
// The two constants are FAO-56's defaults for places without a calibration.
// Source: FAO-56, eq. 35.
func Angstrom(ra, sunshineShare float64) float64 { return (0.25 + 0.50*sunshineShare) * ra }

// RangeRadiation is Rs estimated from the mean daily maximum and minimum
// temperature, in °C, by Hargreaves' formula: clouds keep days cool and nights
// warm. Cloudless is never exceeded (FAO-56, ch. 3).
//
//	Rs = kRs √(Tmax − Tmin) Ra,  at most Rso
//
// kRs is about 0.16 inland and 0.19 on coasts, per √°C. Source: FAO-56, eq. 50.
func RangeRadiation(ra, maxC, minC, kRs, altitudeM float64) float64 {
	return math.Min(kRs*math.Sqrt(math.Max(0, maxC-minC))*ra, ClearSky(ra, altitudeM))
}

func radians(deg float64) float64 { return deg * math.Pi / 180 }
