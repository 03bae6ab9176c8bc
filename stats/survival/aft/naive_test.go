package aft_test

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	. "beadspan/stats/survival/aft"
)

// naiveSurvival is S(w) of the error, as textbooks write it.
func naiveSurvival(law Distribution, w float64) float64 {
	switch law {
	case LogNormal:
		return distuv.UnitNormal.Survival(w)
	case LogLogistic:
		return 1 / (1 + math.Exp(w))
	}
	return math.Exp(-math.Exp(w))
}

// naiveDensity is −S'(w).
func naiveDensity(law Distribution, w float64) float64 {
	switch law {
	case LogNormal:
		return math.Exp(-w*w/2) / math.Sqrt(2*math.Pi)
	case LogLogistic:
		return math.Exp(w) / math.Pow(1+math.Exp(w), 2)
	}
	return math.Exp(w) * math.Exp(-math.Exp(w))
}

// naiveLogLik is the log-likelihood of Fit's doc, without care for tails: the
// second opinion. θ is b, then log σ of each stratum.
func naiveLogLik(data Data, law Distribution, θ []float64) float64 {
	sum := 0.0
	for i, s := range data.Spans {
		η := 0.0
		row := data.Design.At(i)
		for j, x := range row {
			η += x * θ[j]
		}
		stratum := 0
		if data.Strata != nil {
			stratum = data.Strata[i]
		}
		σ := 1.0
		if law != Exponential {
			σ = math.Exp(θ[len(row)+stratum])
		}
		S := func(t float64) float64 { return naiveSurvival(law, (math.Log(t)-η)/σ) }
		var l float64
		if s.Lower == s.Upper {
			l = naiveDensity(law, (math.Log(s.Lower)-η)/σ) / (σ * s.Lower)
		} else {
			l = S(s.Lower) - S(s.Upper)
		}
		if s.Entry > 0 {
			l /= S(s.Entry)
		}
		sum += s.Lives() * math.Log(l)
	}
	return sum
}
