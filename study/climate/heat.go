package climate

import "math"

// gasConstant is R, kJ mol⁻¹ K⁻¹ (CODATA 2018, exact to these digits).
const gasConstant = 8.314462618e-3

// HeatWeight is how much faster a reaction with activation energy Ea runs at a
// temperature than at the reference, both in °C:
//
//	exp(−Ea/R (1/T − 1/Tref)),  T in kelvin, Ea in kJ/mol
//
// Ea is an assumption that differs from coating to coating. The temperature is
// the air's: a dark panel in the sun runs 20 to 40 K hotter.
//
// Source: the Arrhenius equation.
func HeatWeight(tempC, referenceC, activationKJPerMol float64) float64 {
	const zeroC = 273.15
	return math.Exp(-activationKJPerMol / gasConstant * (1/(tempC+zeroC) - 1/(referenceC+zeroC)))
}
