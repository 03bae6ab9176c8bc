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

// between returns log(S(w) − S(w + width)) and the densities at the two ends,
// each divided by that difference. width is above 0.
func (d Distribution) between(w, width float64) (logD, first, second float64) {
	switch d {
	case LogNormal:
		return normalBetween(w, w+width)
	case LogLogistic:
		// S(w) − S(v) = (e^v − e^w) / ((1 + e^w)(1 + e^v)).
		v := w + width
		logD = v + logOneMinusExp(width) - softplus(w) - softplus(v)
		logf, _, _ := d.density(w)
		logg, _, _ := d.density(v)
		return logD, math.Exp(logf - logD), math.Exp(logg - logD)
	default:
		e := math.Exp(w)
		h := e * math.Expm1(width) // cumulative hazard between the two
		if h == 0 {
			return w - e + math.Log(math.Expm1(width)), 1 / math.Expm1(width), math.Exp(width) / math.Expm1(width)
		}
		if math.IsInf(h, 1) {
			return -e, e, 0
		}
		return -e + logOneMinusExp(h), e / -math.Expm1(-h), e * math.Exp(width) / math.Expm1(h)
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
