package survival

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Scale is where confidence limits of S are symmetric about the estimate. Below,
// s is the standard error of log Ŝ and z the normal quantile of the level.
type Scale int

const (
	// LogLog is exp(−exp(log(−log Ŝ) ± z s/log Ŝ)): always within (0, 1), and
	// good down to few lives. Not defined while Ŝ is 1.
	LogLog Scale = iota
	// Plain is Ŝ ± z s Ŝ, cut to [0, 1].
	Plain
	// Log is Ŝ exp(±z s), cut to at most 1.
	Log
	// Logit is symmetric in log(Ŝ/(1 − Ŝ)). Not defined while Ŝ is 1.
	Logit
	// ArcSine is symmetric in asin √Ŝ. Not defined while Ŝ is 1.
	ArcSine
)

// WithScale returns the same curve with limits on another scale. Limits are
// not defined on any scale (NaN) once the estimate is 0.
//
// Source: Kalbfleisch and Prentice, The Statistical Analysis of Failure Time
// Data (2nd ed. 2002), chapter 1; Borgan and Liestøl, Scand. J. Stat. 17 (1990)
// 35–41 (from memory).
func (c *Curve) WithScale(scale Scale) *Curve {
	scaled := *c
	scaled.Scale = scale
	scaled.Steps = slices.Clone(c.Steps)
	scaled.limit(scaled.Steps)
	return &scaled
}

// limit fills in the limits of the steps, which are the curve's own.
func (c *Curve) limit(steps []Step) {
	z := normalQuantile(c.Level)
	lower, upper := c.Scale.limits(1, 0)
	for i := range steps {
		s := &steps[i]
		if s.Events > 0 {
			lower, upper = c.Scale.limits(s.Survival, z*s.SE/s.Survival)
		}
		s.Lower, s.Upper = lower, upper
	}
}

// limits returns the limits of an estimate s whose logarithm may lie off by
// half; NaN where they are not defined.
func (scale Scale) limits(s, half float64) (lower, upper float64) {
	if s <= 0 || math.IsNaN(half) || (s == 1 && scale != Plain && scale != Log) {
		return math.NaN(), math.NaN()
	}
	switch scale {
	case Plain:
		return max(0, s-half*s), min(1, s+half*s)
	case Log:
		return s * math.Exp(-half), min(1, s*math.Exp(half))
	case Logit:
		middle, half := math.Log(s/(1-s)), half/(1-s)
		return logistic(middle - half), logistic(middle + half)
	case ArcSine:
		middle, half := math.Asin(math.Sqrt(s)), half*math.Sqrt(s/(1-s))/2
		lower, upper = math.Sin(max(0, middle-half)), math.Sin(min(math.Pi/2, middle+half))
		return lower * lower, upper * upper
	default: // LogLog
		hazard := -math.Log(s)
		factor := math.Exp(half / hazard)
		return math.Exp(-hazard * factor), math.Exp(-hazard / factor)
	}
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// normalQuantile is z for two-sided limits at a level: 1.96 at 0.95.
func normalQuantile(level float64) float64 {
	return -distuv.UnitNormal.Quantile((1 - level) / 2) // exact in the tail
}
