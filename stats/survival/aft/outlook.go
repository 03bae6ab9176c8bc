package aft

import (
	"fmt"
	"math"
)

// GivenAlive estimates the chance that a life like l that still held at time
// alive holds at time t as well:
//
//	P(T > t | T > alive) = S(t)/S(alive)
//
// Limits are symmetric on the scale of the logarithm of the hazard cumulated
// between the two times, log(log S(alive) − log S(t)), by the delta method, and
// so lie within [0, 1]. They tell how well the chance is known, not how long
// one life may last.
//
// A level outside (0, 1) is survival.ErrLevel; a negative alive, a t before it,
// or an l that does not fit the model, an error that says so.
//
// Source: Lawless, Statistical Models and Methods for Lifetime Data (2nd ed.
// 2003), chapter 1 and, for the delta method, appendix B (from memory).
func (e *Estimate) GivenAlive(l Life, alive, t, level float64) (Chance, error) {
	z, err := e.checkOutlook(l, alive, level)
	if err == nil {
		err = validTime(t)
	}
	if err == nil && t < alive {
		err = fmt.Errorf("time %v lies before %v, when the life still held", t, alive)
	}
	if err != nil {
		return Chance{}, fmt.Errorf("survival given alive: %w", err)
	}
	hazard, by, byLog := 0.0, 0.0, 0.0
	if t > alive {
		hazard, by, byLog = e.fall(l, alive, t)
		hazard = -hazard
	}
	if hazard <= 0 {
		return Chance{Time: t, Survival: 1, Lower: 1, Upper: 1}, nil
	}
	se := e.standardError(l, by, byLog) // of the hazard
	c := Chance{Time: t, Survival: math.Exp(-hazard), SE: math.Exp(-hazard) * se}
	factor := math.Exp(z * se / hazard)
	c.Lower, c.Upper = math.Exp(-hazard*factor), math.Exp(-hazard/factor)
	return c, nil
}

func (e *Estimate) checkOutlook(l Life, alive, level float64) (z float64, err error) {
	if z, err = e.margin(level); err != nil {
		return 0, err
	}
	if err := validTime(alive); err != nil {
		return 0, err
	}
	return z, e.fits(l)
}

// fall returns log(S(t)/S(alive)) and its derivatives by the linear predictor
// and log σ.
func (e *Estimate) fall(l Life, alive, t float64) (logS, byPredictor, byLogScale float64) {
	logS, byPredictor, byLogScale = e.logSurvival(l, t)
	if alive > 0 {
		before, p, s := e.logSurvival(l, alive)
		logS, byPredictor, byLogScale = logS-before, byPredictor-p, byLogScale-s
	}
	return logS, byPredictor, byLogScale
}

// logSurvival returns log S(t) of l with the same derivatives.
func (e *Estimate) logSurvival(l Life, t float64) (logS, byPredictor, byLogScale float64) {
	w := e.standardised(l, t)
	logS, slope, _ := e.Distribution.tail(w)
	return logS, -slope / e.sigma(l), -slope * w
}
