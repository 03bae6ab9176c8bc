package aft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Remaining is the expected time that a life still holds, with limits.
type Remaining struct {
	Alive, Horizon float64 // how long it has held; how far ahead time counts
	Expected, SE   float64
	Lower, Upper   float64
}

// RemainingLife estimates how much longer a life like l that still holds at
// time alive may be expected to hold within the next horizon:
//
//	∫ S(alive + v)/S(alive) dv,  v from 0 to horizon
//
// An infinite horizon gives the mean residual life: for the most part of it the
// model's tail answers, not the data, so name a horizon within the follow-up
// where you can. It is +Inf for a log-logistic with σ ≥ 1, which has no mean;
// SE and limits are then NaN. The integral is accurate to about ten digits.
//
// SE is by the delta method. Limits are symmetric in the logarithm, or with a
// horizon H in log(e/(H − e)), so they lie within (0, H).
//
// A level outside (0, 1) is survival.ErrLevel; a negative alive, a horizon that
// is not above 0, or an l that does not fit the model, an error that says so.
//
// Source: Klein and Moeschberger, Survival Analysis (2nd ed. 2003), section 2.4
// (from memory).
func (e *Estimate) RemainingLife(l Life, alive, horizon, level float64) (Remaining, error) {
	z, err := e.checkOutlook(l, alive, level)
	if err == nil && !(horizon > 0) {
		err = fmt.Errorf("horizon %v: want a time above 0", horizon)
	}
	if err != nil {
		return Remaining{}, fmt.Errorf("remaining life: %w", err)
	}
	r := Remaining{Alive: alive, Horizon: horizon}
	nan := math.NaN()
	if math.IsInf(horizon, 1) && e.Distribution == LogLogistic && e.sigma(l) >= 1 {
		r.Expected, r.SE, r.Lower, r.Upper = math.Inf(1), nan, nan, nan
		return r, nil
	}
	area := e.areaAhead(l, alive, horizon)
	r.Expected = area.value
	r.SE = e.standardError(l, area.byPredictor, area.byLogScale)
	switch rest := horizon - r.Expected; {
	case math.IsInf(horizon, 1):
		factor := math.Exp(z * r.SE / r.Expected)
		r.Lower, r.Upper = r.Expected/factor, r.Expected*factor
	case rest <= 0 || r.SE == 0: // certain to hold, as far as numbers go
		r.Lower, r.Upper = r.Expected, r.Expected
	default:
		odds := r.Expected / rest
		factor := math.Exp(z * r.SE * horizon / (r.Expected * rest))
		r.Lower, r.Upper = horizon*odds/(odds+factor), horizon*odds*factor/(odds*factor+1)
	}
	return r, nil
}

// area is an integral of S(t)/S(alive) with its derivatives.
type area struct{ value, byPredictor, byLogScale float64 }

// areaAhead integrates over w, with t = e^{η + σw}: there the integrand is
// smooth on a known scale, however long lives are.
func (e *Estimate) areaAhead(l Life, alive, horizon float64) area {
	const nodes = 16
	var x, weight [nodes]float64
	quad.Legendre{}.FixedLocations(x[:], weight[:], -1, 1)

	η, σ := e.predictor(l), e.sigma(l)
	w := e.first()
	var a area
	if alive > 0 && e.standardised(l, alive) > w {
		w = e.standardised(l, alive)
	} else { // up to w nobody's life has ended, to 17 digits
		a.value = math.Exp(η+σ*w) - alive
	}
	if a.value >= horizon {
		a.value = horizon
		return a
	}
	if _, slope, _ := e.Distribution.tail(w); -slope > 1e7 {
		return e.soonOver(l, w, horizon)
	}
	end := e.standardised(l, alive+horizon)
	for w < end {
		_, slope, _ := e.Distribution.tail(w)
		step := min(1, 2/σ, 4/-slope, end-w)
		part := area{}
		for k := range x {
			v := w + step*(1+x[k])/2
			t := math.Exp(η + σ*v)
			logS, by, byLog := e.fall(l, alive, t)
			dt := math.Exp(logS) * σ * t * weight[k] * step / 2
			part.value += dt
			part.byPredictor += dt * by
			part.byLogScale += dt * byLog
		}
		a.value += part.value
		a.byPredictor += part.byPredictor
		a.byLogScale += part.byLogScale
		w += step
		if negligible(part, a, slope, σ, step) {
			break
		}
		if e.Distribution == LogLogistic && w > 40 && math.IsInf(horizon, 1) {
			a.addPowerTail(e, l, alive, w)
			break
		}
	}
	return a
}

// soonOver is the area for a life that has outlasted its model so far that its
// hazard no longer changes within what remains, to seven digits: the mean v =
// tσ/−slope of an exponential life, cut at the horizon.
func (e *Estimate) soonOver(l Life, w, horizon float64) area {
	_, slope, bend := e.Distribution.tail(w)
	σ := e.sigma(l)
	v := math.Exp(e.predictor(l)+σ*w) * σ / -slope
	ahead := horizon / v
	a := area{value: v * -math.Expm1(-ahead)}
	byV := v
	if !math.IsInf(ahead, 1) {
		byV = v * (1 - math.Exp(-ahead)*(1+ahead))
	}
	a.byPredictor = byV * bend / (slope * σ)
	a.byLogScale = byV * (1 + w*bend/slope)
	return a
}

// negligible reports whether what lies beyond the last part adds nothing. The
// integrand falls by a factor e^{(slope + σ) step} a part, or faster.
func negligible(part, sum area, slope, σ, step float64) bool {
	fall := (slope + σ) * step
	if fall >= 0 {
		return false
	}
	beyond := math.Exp(fall) / -math.Expm1(fall)
	return beyond*part.value < 1e-13*sum.value &&
		beyond*math.Abs(part.byPredictor) < 1e-13*math.Abs(sum.byPredictor) &&
		beyond*math.Abs(part.byLogScale) < 1e-13*math.Abs(sum.byLogScale)
}

// first is a w so low that S is 1 there to 17 digits.
func (e *Estimate) first() float64 {
	if e.Distribution == LogNormal {
		return -9
	}
	return -40
}

// addPowerTail adds the integral from w on, for w so high that the logistic's
// S is e^−w: it falls as a power of time, too slowly to go on in steps.
func (a *area) addPowerTail(e *Estimate, l Life, alive, w float64) {
	η, σ := e.predictor(l), e.sigma(l)
	before, p, s := 0.0, 0.0, 0.0
	if alive > 0 {
		before, p, s = e.logSurvival(l, alive)
	}
	// ∫ e^{−v} σ e^{η + σv} dv = e^{−w + η + σw} σ/(1 − σ); by the predictor the
	// integrand gains a factor 1/σ, by log σ a factor v.
	value := math.Exp(-w-before+η+σ*w) * σ / (1 - σ)
	a.value += value
	a.byPredictor += value * (1/σ - p)
	a.byLogScale += value * (w + 1/(1-σ) - s)
}
