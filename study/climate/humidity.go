package climate

import "math"

// VapourPressure is the saturation vapour pressure over water, kPa, at a
// temperature in °C:
//
//	e0 = 0.6108 exp(17.27 T/(T + 237.3))
//
// Source: FAO-56, eq. 11.
func VapourPressure(tempC float64) float64 {
	return 0.6108 * math.Exp(17.27*tempC/(tempC+237.3))
}

// DewPoint is the temperature, in °C, at which air of a temperature in °C and
// a relative humidity in percent begins to wet a panel: VapourPressure turned
// round,
//
//	Td = 237.3 x/(17.27 − x),  x = ln(e/0.6108),  e = RH/100 e0(T)
//
// Absolutely dry air has none: the result is NaN for a humidity of 0 or less.
func DewPoint(tempC, humidityPct float64) float64 {
	if humidityPct <= 0 {
		return math.NaN()
	}
	x := math.Log(humidityPct / 100 * VapourPressure(tempC) / 0.6108)
	return 237.3 * x / (17.27 - x)
}
