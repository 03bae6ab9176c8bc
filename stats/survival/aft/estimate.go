package aft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/survival"
)

// Estimate holds the parameters of a fitted model and answers for single lives.
type Estimate struct {
	Distribution Distribution
	Names        []string  // of the parameters: columns of the design, then log(scale)
	Coefficients []float64 // b
	LogScale     []float64 // log σ of each stratum; 0 for the exponential
	// Covariance of the coefficients and, except for the exponential, log σ.
	Covariance *mat.SymDense
	// DF are the degrees of freedom of the t distribution that limits use; 0
	// means the normal distribution.
	DF int
}

// Parameter is one estimated number.
type Parameter struct {
	Name         string
	Value, SE    float64
	P            float64 // of the test that the number is 0, two-sided
	Lower, Upper float64
}

// Parameters returns the coefficients and log σ with limits Value ± z SE at a
// confidence level. A level outside (0, 1) is survival.ErrLevel.
func (e *Estimate) Parameters(level float64) ([]Parameter, error) {
	z, err := e.margin(level)
	if err != nil {
		return nil, fmt.Errorf("parameters: %w", err)
	}
	list := make([]Parameter, len(e.Names))
	for j, name := range e.Names {
		v, se := 0.0, math.Sqrt(e.Covariance.At(j, j))
		if j < len(e.Coefficients) {
			v = e.Coefficients[j]
		} else {
			v = e.LogScale[j-len(e.Coefficients)]
		}
		list[j] = Parameter{name, v, se, e.twoSided(v / se), v - z*se, v + z*se}
	}
	return list, nil
}

// Life is a life to answer for: its row of the design, see Design.Row, and its
// stratum of σ. Shift is added to x'b: what is known to prolong log life beside
// the covariates, such as the effect of its group.
type Life struct {
	X       []float64
	Stratum int
	Shift   float64
}

// Quantile is the time by which a share P of lives has ended.
type Quantile struct {
	P, Time, SE  float64 // SE = Time × SELog
	Log, SELog   float64 // of log Time, on whose scale the limits are symmetric
	Lower, Upper float64
}

// Quantile estimates the time by which a share p of lives like l has ended:
//
//	log t(p) = x'b + σ w(p)
//
// with w(p) the quantile of the error. Limits are exp(log t ± z SE(log t)).
//
// A level outside (0, 1) is survival.ErrLevel, a p outside it survival.ErrShare,
// an l that does not fit the model an error that says so.
func (e *Estimate) Quantile(l Life, p, level float64) (Quantile, error) {
	z, err := e.margin(level)
	if err == nil {
		err = e.fits(l)
	}
	if err == nil && !(p > 0 && p < 1) {
		err = fmt.Errorf("%w: got %v", survival.ErrShare, p)
	}
	if err != nil {
		return Quantile{}, fmt.Errorf("quantile: %w", err)
	}
	w := e.Distribution.quantile(p)
	q := Quantile{P: p, Log: e.predictor(l) + e.sigma(l)*w}
	q.SELog = e.standardError(l, 1, e.sigma(l)*w)
	q.Time = math.Exp(q.Log)
	q.SE = q.Time * q.SELog
	q.Lower, q.Upper = math.Exp(q.Log-z*q.SELog), math.Exp(q.Log+z*q.SELog)
	return q, nil
}

// Chance is a probability that a life lasts, with limits.
type Chance struct {
	Time         float64
	Survival, SE float64
	Lower, Upper float64
}

// Survival estimates P(T > t) of lives like l: S(w) at w = (log t − x'b)/σ.
// Limits are S at w ± z SE(w), so they lie within [0, 1].
//
// A level outside (0, 1) is survival.ErrLevel; a negative t, or an l that does
// not fit the model, is an error that says so.
func (e *Estimate) Survival(l Life, t, level float64) (Chance, error) {
	z, err := e.margin(level)
	if err == nil {
		err = e.fits(l)
	}
	if err == nil {
		err = validTime(t)
	}
	if err != nil {
		return Chance{}, fmt.Errorf("survival: %w", err)
	}
	if t == 0 {
		return Chance{Survival: 1, Lower: 1, Upper: 1}, nil
	}
	w := e.standardised(l, t)
	se := e.standardError(l, -1/e.sigma(l), -w)
	logf, _, _ := e.Distribution.density(w)
	s := e.Distribution.survival
	return Chance{t, s(w), math.Exp(logf) * se, s(w + z*se), s(w - z*se)}, nil
}

// predictor is x'b and the life's shift.
func (e *Estimate) predictor(l Life) float64 {
	η := l.Shift
	for j, b := range e.Coefficients {
		η += l.X[j] * b
	}
	return η
}

func (e *Estimate) sigma(l Life) float64 { return math.Exp(e.LogScale[l.Stratum]) }

// standardised is w at time t.
func (e *Estimate) standardised(l Life, t float64) float64 {
	return (math.Log(t) - e.predictor(l)) / e.sigma(l)
}

// standardError is that of a function of the model whose derivatives by the
// life's linear predictor and by log σ are given: the delta method.
func (e *Estimate) standardError(l Life, byPredictor, byLogScale float64) float64 {
	q := e.Covariance.SymmetricDim()
	g := make([]float64, q)
	for j, x := range l.X {
		g[j] = x * byPredictor
	}
	if e.Distribution.scaled() {
		g[len(l.X)+l.Stratum] = byLogScale
	}
	v := mat.NewVecDense(q, g)
	return math.Sqrt(mat.Inner(v, e.Covariance, v))
}

// margin is how many standard errors limits lie from an estimate.
func (e *Estimate) margin(level float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("%w: got %v", survival.ErrLevel, level)
	}
	upper := 1 - (1-level)/2
	if e.DF > 0 {
		return distuv.StudentsT{Sigma: 1, Nu: float64(e.DF)}.Quantile(upper), nil
	}
	return distuv.UnitNormal.Quantile(upper), nil
}

// twoSided is the chance of a ratio to its standard error as far from 0 as z.
func (e *Estimate) twoSided(z float64) float64 {
	if e.DF > 0 {
		return 2 * distuv.StudentsT{Sigma: 1, Nu: float64(e.DF)}.CDF(-math.Abs(z))
	}
	return math.Erfc(math.Abs(z) / math.Sqrt2)
}

// fits returns an error for a life that the model has no answer for.
func (e *Estimate) fits(l Life) error {
	if len(l.X) != len(e.Coefficients) {
		return fmt.Errorf("the life has %d covariates with its intercept, the model %d", len(l.X), len(e.Coefficients))
	}
	if l.Stratum < 0 || l.Stratum >= len(e.LogScale) {
		return fmt.Errorf("the life is of stratum %d, the model has strata 0 to %d", l.Stratum, len(e.LogScale)-1)
	}
	for j, x := range append(l.X[:len(l.X):len(l.X)], l.Shift) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("covariate %d of the life is %v, not a finite number", j, x)
		}
	}
	return nil
}

// validTime refuses a time that is negative, infinite or not a number.
func validTime(t float64) error {
	if !(t >= 0) || math.IsInf(t, 1) {
		return fmt.Errorf("time %v: want a finite number of 0 or more", t)
	}
	return nil
}
