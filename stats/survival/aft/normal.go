package aft

import "math"

const logRoot2Pi = 0.91893853320467274178 // log √(2π)

// normalTail returns log S of the standard normal at w, its hazard f/S, and how
// far the hazard exceeds w: the derivative of log hazard.
func normalTail(w float64) (logS, hazard, excess float64) {
	logf := -w*w/2 - logRoot2Pi
	if w < 30 {
		s := math.Erfc(w/math.Sqrt2) / 2
		logS = math.Log(s)
		if w < -5 {
			logS = math.Log1p(-math.Erfc(-w/math.Sqrt2) / 2)
		}
		hazard = math.Exp(logf) / s
		return logS, hazard, hazard - w
	}
	// S/f = (1 − r)/w with r = 1/w² − 3/w⁴ + 15/w⁶ − …: Abramowitz and Stegun
	// (1964) 26.2.12. Past w = 30 the tenth term is below 1e-19.
	r, term, u := 0.0, 1.0, 1/(w*w)
	for k := 1; k <= 10; k++ {
		term *= -float64(2*k-1) * u
		r -= term
	}
	hazard = w / (1 - r)
	return logf - math.Log(hazard), hazard, w * r / (1 - r)
}

// normalBetween is between of the standard normal but for the derivatives: it
// takes the difference of the tails on the side where they are small.
func normalBetween(w, v float64) stretch {
	f := func(u, logD float64) float64 { return math.Exp(-u*u/2 - logRoot2Pi - logD) }
	switch {
	case w >= 0:
		near, hazard, _ := normalTail(w)
		far, _, _ := normalTail(v)
		logD := near + logOneMinusExp(near-far)
		return stretch{logD: logD, first: hazard * math.Exp(near-logD), second: f(v, logD)}
	case v <= 0:
		near, hazard, _ := normalTail(-v)
		far, _, _ := normalTail(-w)
		logD := near + logOneMinusExp(near-far)
		return stretch{logD: logD, first: f(w, logD), second: hazard * math.Exp(near-logD)}
	}
	logD := math.Log((math.Erf(v/math.Sqrt2) - math.Erf(w/math.Sqrt2)) / 2)
	return stretch{logD: logD, first: f(w, logD), second: f(v, logD)}
}
