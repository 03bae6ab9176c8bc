package mixed

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/decay"
)

// ErrNoGroup means that a group has no readings in the fit.
var ErrNoGroup = errors.New("no readings of this group")

// Curve is the curve of one group, or of the typical group of a population,
// with what is not known of it.
type Curve struct {
	fit *CurvesFit
	η   []float64 // sums of the parameters

	// Rows, one for each parameter, multiply independent standard normal
	// numbers: errors make what is not known of the curve, spread, which only
	// the typical curve has, what groups differ by.
	errors, spread [][]float64
}

// Typical returns the curve with random effects of 0 for given covariates: half
// of the groups have a larger and half a smaller value of each parameter.
func (f *CurvesFit) Typical(covariates []float64) *Curve {
	f.checkCovariates(covariates)
	c := f.newCurve(covariates)
	q1, q2 := len(f.Outer.Effects), len(f.Inner.Effects)
	for k := range c.η {
		c.errors = append(c.errors, f.rooted(f.design(k, covariates)))
		row := make([]float64, q1+q2)
		if j := slices.Index(f.fleet.outerParams, k); j >= 0 {
			copy(row, f.Outer.factor[j*q1:(j+1)*q1])
		}
		if j := slices.Index(f.fleet.innerParams, k); j >= 0 {
			copy(row[q1:], f.Inner.factor[j*q2:(j+1)*q2])
		}
		c.spread = append(c.spread, row)
	}
	return c
}

// Of returns the curve of a group for given covariates, as its own readings and
// those of all others tell it (empirical Bayes). Its errors count what is not
// known of its random effects and of the fixed ones, for variances as
// estimated. inner is not read if there are no inner random effects.
//
// A group without readings is ErrNoGroup: Typical is then all there is.
func (f *CurvesFit) Of(outer, inner int, covariates []float64) (*Curve, error) {
	f.checkCovariates(covariates)
	l := f.fleet
	if l.q2 == 0 {
		inner = 0
	}
	s, ok := f.places[label{outer, inner}]
	if !ok {
		return nil, fmt.Errorf("curve of group %d, %d: %w", outer, inner, ErrNoGroup)
	}
	g := l.groupOf[l.inner[s].from].from
	c := f.newCurve(covariates)
	for k := range c.η {
		d, e := make([]float64, l.q1), make([]float64, l.q2)
		if j := slices.Index(l.outerParams, k); j >= 0 {
			d[j] = 1
			c.η[k] += f.Groups[s].OuterEffects[j]
		}
		if j := slices.Index(l.innerParams, k); j >= 0 {
			e[j] = 1
			c.η[k] += f.Groups[s].InnerEffects[j]
		}
		known, rest := l.error(g, s, f.design(k, covariates), d, e)
		floats.Scale(f.ResidualSD, known)
		c.errors = append(c.errors, append(known, f.rooted(rest)...))
	}
	return c, nil
}

func (f *CurvesFit) checkCovariates(covariates []float64) {
	if len(covariates) != len(f.model.Covariates) {
		panic(fmt.Sprintf("mixed: %d covariates of %d", len(covariates), len(f.model.Covariates)))
	}
}

func (f *CurvesFit) newCurve(covariates []float64) *Curve {
	return &Curve{fit: f, η: f.fleet.sums(f.fixedValues(), covariates)}
}

func (f *CurvesFit) fixedValues() []float64 {
	β := make([]float64, len(f.Fixed))
	for j, e := range f.Fixed {
		β[j] = e.Value
	}
	return β
}

// design returns what the fixed effects are multiplied by in parameter k.
func (f *CurvesFit) design(k int, covariates []float64) []float64 {
	a := make([]float64, len(f.Fixed))
	for j, t := range f.fleet.terms {
		switch {
		case t.parameter != k:
		case t.covariate == intercept:
			a[j] = 1
		default:
			a[j] = covariates[t.covariate]
		}
	}
	return a
}

// rooted returns Rᵀa with R Rᵀ the covariance of the fixed effects.
func (f *CurvesFit) rooted(a []float64) []float64 {
	var lower mat.TriDense
	f.root.LTo(&lower)
	var v mat.VecDense
	v.MulVec(lower.T(), mat.NewVecDense(len(a), a))
	return v.RawVector().Data
}

// Parameters returns the values of the curve's parameters with standard errors
// by the delta method; known ones have an error of 0.
func (c *Curve) Parameters() []Effect {
	list := make([]Effect, len(c.η))
	for k, p := range c.fit.model.Parameters {
		list[k] = Effect{c.fit.model.Curve.Parameters[k], c.η[k], floats.Norm(c.errors[k], 2)}
		if p.Log && p.Known == nil {
			list[k].Value = math.Exp(c.η[k])
			list[k].SE *= list[k].Value
		}
	}
	return list
}

// Predict returns the curve at each of times, in their order, with limits at
// the given confidence level for that time alone:
//
//	m ± t SE              for the curve
//	m ± t √(SE² + s²)     for a new reading
//
// SE is that of the delta method. The new reading is one of weight 1; its s² is
// σ² for a group's own curve, and for the typical curve σ² and what groups
// differ by, for it is then of a group that nothing is known of.
//
// t is the quantile of Student's distribution on ν degrees of freedom, and for
// the typical curve √(n/ν) times that. n groups tell how groups differ, of which
// ν = n − p are left where a parameter that differs between them has p fixed
// effects; of two levels, and of several parameters, the ones with the smallest ν
// count. The root makes up for variances that are too small by maximum
// likelihood, which takes the p as known. With many groups t is the normal
// quantile.
//
// A time that is not finite or where the curve has no value, and a level
// outside (0, 1), are errors.
//
// Source of degrees of freedom by levels of grouping: Pinheiro and Bates,
// Mixed-Effects Models in S and S-PLUS (2000), section 2.4.2 (section from
// memory).
func (c *Curve) Predict(times []float64, level float64) ([]decay.Prediction, error) {
	t, err := c.reach(level)
	if err != nil {
		return nil, err
	}
	list := make([]decay.Prediction, len(times))
	for i, time := range times {
		value, gradient := c.at(time)
		if !finite(time) || !finite(value) {
			return nil, fmt.Errorf("predict: the curve has no value at time %g", time)
		}
		se := spreadOf(c.errors, gradient)
		new := math.Hypot(math.Hypot(se, c.fit.ResidualSD), spreadOf(c.spread, gradient))
		list[i] = decay.Prediction{
			Time: time, Value: value, SE: se, Lower: value - t*se, Upper: value + t*se,
			NewLower: value - t*new, NewUpper: value + t*new,
		}
	}
	return list, nil
}

// at returns the value at a time and its derivatives by the sums.
func (c *Curve) at(time float64) (value float64, gradient []float64) {
	gradient = make([]float64, len(c.η))
	return c.fit.fleet.value(slices.Clone(c.η), time, gradient), gradient
}

// spreadOf is the standard deviation of what rows make of the curve.
func spreadOf(rows [][]float64, gradient []float64) float64 {
	if len(rows) == 0 {
		return 0
	}
	sum := make([]float64, len(rows[0]))
	for k, row := range rows {
		floats.AddScaled(sum, gradient[k], row)
	}
	return floats.Norm(sum, 2)
}

// reach is the t of Predict.
func (c *Curve) reach(level float64) (float64, error) {
	if _, err := normalQuantile(level); err != nil {
		return math.NaN(), err
	}
	groups, freedom := c.fit.between()
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile((1 + level) / 2)
	if c.spread != nil {
		t *= math.Sqrt(groups / freedom)
	}
	return t, nil
}

// between returns n and ν of Predict; ν is at least 1.
func (f *CurvesFit) between() (groups, freedom float64) {
	freedom = math.Inf(1)
	for level, spread := range []Spread{f.Outer, f.Inner} {
		for _, k := range [][]int{f.fleet.outerParams, f.fleet.innerParams}[level] {
			left := float64(spread.Groups)
			for _, t := range f.fleet.terms {
				if t.parameter == k {
					left--
				}
			}
			if left < freedom {
				groups, freedom = float64(spread.Groups), left
			}
		}
	}
	return groups, max(1, freedom)
}

// normalQuantile is the z that ±z encloses level of the normal distribution.
func normalQuantile(level float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("confidence level %g is not between 0 and 1", level)
	}
	return distuv.UnitNormal.Quantile((1 + level) / 2), nil
}
