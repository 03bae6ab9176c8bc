package aft

import "math"

// What a likelihood needs of an error W with density f and survival function S
// at w. Logarithms and their derivatives come from forms that keep their digits
// in the tails, where f and S themselves vanish.

// density returns log f and its first two derivatives.
func (d Distribution) density(w float64) (logf, slope, bend float64) {
	switch d {
	case LogNormal:
		return -w*w/2 - logRoot2Pi, -w, -1
	case LogLogistic:
		s, f := logisticPair(w)
		return -math.Abs(w) - 2*math.Log1p(math.Exp(-math.Abs(w))), s - f, -2 * s * f
	default:
		e := math.Exp(w)
		return w - e, 1 - e, -e
	}
}

// tail returns log S and its first two derivatives.
func (d Distribution) tail(w float64) (logS, slope, bend float64) {
	switch d {
	case LogNormal:
		logS, hazard, excess := normalTail(w)
		return logS, -hazard, -hazard * excess
	case LogLogistic:
		s, f := logisticPair(w)
		return -softplus(w), -f, -s * f
	default:
		e := math.Exp(w)
		return -e, -e, -e
	}
}

// head returns log(1 − S) and its first two derivatives.
func (d Distribution) head(w float64) (logF, slope, bend float64) {
	switch d {
	case LogNormal: // the mirror of its tail
		logF, hazard, excess := normalTail(-w)
		return logF, hazard, -hazard * excess
	case LogLogistic:
		s, f := logisticPair(w)
		return -softplus(-w), s, -s * f
	default:
		e := math.Exp(w)
		switch {
		case e == 0:
			return w, 1, 0 // F = e^w so far out
		case math.IsInf(e, 1):
			return 0, 0, 0
		}
		rate := e / math.Expm1(e)
		return logOneMinusExp(e), rate, rate * (1 - e - rate)
	}
}

// stretch is what a likelihood needs of the stretch between two values w < v of
// the error.
type stretch struct {
	logD              float64 // log(S(w) − S(v))
	first, second     float64 // f(w) and f(v), each divided by S(w) − S(v)
	firstBy, secondBy float64 // the same of f'
}

// between returns the stretch from w to w + width; width is above 0.
func (d Distribution) between(w, width float64) stretch {
	v := w + width
	switch d {
	case LogNormal:
		b := normalBetween(w, v)
		b.firstBy, b.secondBy = -w*b.first, -v*b.second
		return b
	case LogLogistic:
		// S(w) − S(v) = (e^v − e^w) / ((1 + e^w)(1 + e^v)).
		logD := v + logOneMinusExp(width) - softplus(w) - softplus(v)
		logf, fSlope, _ := d.density(w)
		logg, gSlope, _ := d.density(v)
		f, g := math.Exp(logf-logD), math.Exp(logg-logD)
		return stretch{logD, f, g, f * fSlope, g * gSlope}
	default:
		e, later := math.Exp(w), math.Exp(v)
		share := -math.Expm1(-width)
		h := later * share // cumulative hazard between the two, e^v − e^w
		switch {
		case h < 1e-290: // both ends so early that S is 1 − e^w
			f, g := 1/math.Expm1(width), 1/share
			return stretch{v + math.Log(share), f, g, f, g}
		case h > 700: // nothing is left at v
			return stretch{-e, e, 0, e * (1 - e), 0}
		}
		gone := -math.Expm1(-h)
		f, g := e/gone, later*(1-gone)/gone
		return stretch{-e + math.Log(gone), f, g, f * (1 - e), g * (1 - later)}
	}
}

// logisticPair returns S and 1 − S of the logistic distribution.
func logisticPair(w float64) (s, f float64) {
	e := math.Exp(-math.Abs(w))
	small, large := e/(1+e), 1/(1+e)
	if w > 0 {
		return small, large
	}
	return large, small
}

// softplus is log(1 + e^x).
func softplus(x float64) float64 {
	return max(x, 0) + math.Log1p(math.Exp(-math.Abs(x)))
}

// logOneMinusExp is log(1 − e^−h) for h ≥ 0.
func logOneMinusExp(h float64) float64 {
	if h < math.Ln2 {
		return math.Log(-math.Expm1(-h))
	}
	return math.Log1p(-math.Exp(-h))
}
