package climate

import "gonum.org/v1/gonum/stat/distuv"

// FreezeThawShare is the share of days on which the temperature passes 0 °C,
// its minimum below and its maximum above, by the month's mean daily maximum
// and minimum in °C. Days are taken to be warmer or colder than the mean as a
// whole, normally with standard deviation s:
//
//	P(min + e < 0 < max + e) = Φ(−min/s) − Φ(−max/s),  e ~ N(0, s²)
//
// Where daily records are at hand, count them instead. The model is ours; the
// spread is from memory.
func FreezeThawShare(maxC, minC, spreadC float64) float64 {
	return FrostShare(minC, spreadC) - FrostShare(maxC, spreadC)
}

// FrostShare is the share of days whose temperature of the given mean, in °C,
// is below 0 °C, for days normal about the mean: Φ(−mean/s).
func FrostShare(meanC, spreadC float64) float64 {
	return distuv.UnitNormal.CDF(-meanC / spreadC)
}
