package mixed

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas/blas64"

	"beadspan/stats/decay"
)

// fleet is a population of curves at one set of parameters. Its linear mixed
// model is that of the curves' tangents there.
type fleet struct {
	*nested
	curve      decay.Model
	parameters []Parameter
	covariates []string
	correlated bool
	readings   []Reading // in the order of the groups

	terms                    []term  // of the fixed effects
	outerParams, innerParams []int   // with random effects
	groupOf                  []block // of each reading: from = outer, to = inner group

	// Where it is. The random effects are Λu, so that u stays while Λ changes
	// and may have no inverse.
	λ              [2]blas64.Triangular
	β              []float64
	uOuter, uInner []float64

	form form    // of the last linear fit
	best minimum // of it

	φ, gradient []float64 // room
}

// term is a fixed effect: a parameter's intercept, or one of its covariates.
type term struct{ parameter, covariate int }

const intercept = -1

// newFleet checks the readings and puts them into groups.
func newFleet(readings []Reading, model CurveModel) (*fleet, error) {
	l := &fleet{curve: model.Curve, parameters: model.Parameters, covariates: model.Covariates, correlated: model.Correlated}
	k := len(model.Curve.Parameters)
	if len(model.Parameters) != k || len(model.Start) != k {
		panic(fmt.Sprintf("mixed: %d parameters and %d start values for a curve of %d", len(model.Parameters), len(model.Start), k))
	}
	l.φ, l.gradient = make([]float64, k), make([]float64, k)
	l.lay()
	q1, q2 := len(l.outerParams), len(l.innerParams)
	if q1+q2 == 0 || model.Nodes > 1 && q1+q2 > 1 || model.Nodes < 0 {
		panic(fmt.Sprintf("mixed: %d random effects with %d nodes", q1+q2, model.Nodes))
	}
	for i, r := range readings {
		if err := l.check(i, r); err != nil {
			return nil, err
		}
	}
	g := groupRows(len(readings), func(i int) label {
		if q2 == 0 {
			return label{outer: readings[i].Outer}
		}
		return label{readings[i].Outer, readings[i].Inner}
	})
	if err := g.checkSize(len(l.terms), q1, q2); err != nil {
		return nil, err
	}
	l.nested = newNested(g, len(l.terms), q1, q2)
	l.fill(readings)
	return l, l.start(model.Start)
}

// check refuses the i-th reading if it is of no use.
func (l *fleet) check(i int, r Reading) error {
	if len(r.Covariates) != len(l.covariates) {
		panic(fmt.Sprintf("mixed: reading %d has %d covariates of %d", i, len(r.Covariates), len(l.covariates)))
	}
	row := Row{Value: r.Value, Weight: r.Weight, Fixed: r.Covariates}
	if err := row.check(i, LinearModel{}); err != nil {
		return err
	}
	if !finite(r.Time) {
		return &RowError{i, fmt.Sprintf("time %g is not a finite number", r.Time)}
	}
	return nil
}

// lay lists what the parameters are made of.
func (l *fleet) lay() {
	for k, p := range l.parameters {
		if p.Known == nil {
			l.terms = append(l.terms, term{k, intercept})
			for _, c := range p.Covariates {
				l.terms = append(l.terms, term{k, c})
			}
		}
		if p.Outer {
			l.outerParams = append(l.outerParams, k)
		}
		if p.Inner {
			l.innerParams = append(l.innerParams, k)
		}
	}
}

func (l *fleet) fill(readings []Reading) {
	l.readings = make([]Reading, len(readings))
	l.groupOf = make([]block, len(readings))
	for at, i := range l.order {
		l.readings[at] = readings[i]
		l.logWeights += math.Log(readings[i].Weight)
	}
	for g, inner := range l.outer {
		for s := inner.from; s < inner.to; s++ {
			for i := l.inner[s].from; i < l.inner[s].to; i++ {
				l.groupOf[i] = block{g, s}
			}
		}
	}
}

// start puts every group on the curve of the given parameters.
func (l *fleet) start(values []float64) error {
	l.λ = [2]blas64.Triangular{noSpread(l.q1), noSpread(l.q2)}
	l.β = make([]float64, l.p)
	l.uOuter, l.uInner = make([]float64, l.q1*len(l.outer)), make([]float64, l.q2*len(l.inner))
	for j, t := range l.terms {
		if t.covariate != intercept {
			continue
		}
		l.β[j] = values[t.parameter]
		if l.parameters[t.parameter].Log {
			l.β[j] = math.Log(values[t.parameter])
		}
		if !finite(l.β[j]) {
			return fmt.Errorf("start value %g of %s is of no use", values[t.parameter], l.curve.Parameters[t.parameter])
		}
	}
	return nil
}

// sums returns the sum of the fixed parts of each parameter, which is its
// logarithm if the parameter has Log.
func (l *fleet) sums(β, covariates []float64) []float64 {
	η := make([]float64, len(l.parameters))
	l.sum(η, β, covariates)
	return η
}

func (l *fleet) sum(η, β, covariates []float64) {
	for k, p := range l.parameters {
		η[k] = 0
		if p.Known != nil {
			η[k] = *p.Known
		}
	}
	for j, t := range l.terms {
		x := 1.0
		if t.covariate != intercept {
			x = covariates[t.covariate]
		}
		η[t.parameter] += β[j] * x
	}
}

// value returns the curve at a time for sums η, which it overwrites, and sets
// gradient to the derivatives by them, 0 for what is known of every group.
func (l *fleet) value(η []float64, time float64, gradient []float64) float64 {
	for k, p := range l.parameters {
		if p.Log && p.Known == nil {
			η[k] = math.Exp(η[k])
		}
	}
	value := l.curve.Eval(η, time, gradient)
	for k, p := range l.parameters {
		switch {
		case p.Known != nil:
			if !p.Outer && !p.Inner {
				gradient[k] = 0
			}
		case p.Log:
			gradient[k] *= η[k]
		}
	}
	return value
}

// at returns the value of reading i's curve for given fixed and random
// effects, and leaves the derivatives in l.gradient.
func (l *fleet) at(i int, β, b, c []float64) float64 {
	r := &l.readings[i]
	l.sum(l.φ, β, r.Covariates)
	for j, k := range l.outerParams {
		l.φ[k] += b[j]
	}
	for j, k := range l.innerParams {
		l.φ[k] += c[j]
	}
	return l.value(l.φ, r.Time, l.gradient)
}

// groups lists the groups with their random effects where the fleet is.
func (l *fleet) groups() []Group {
	b, c := spreadOut(l.λ[0], l.uOuter), spreadOut(l.λ[1], l.uInner)
	list := make([]Group, len(l.inner))
	for g, inner := range l.outer {
		for s := inner.from; s < inner.to; s++ {
			list[s] = Group{
				Outer: l.labels[s].outer, Inner: l.labels[s].inner, Rows: l.inner[s].len(),
				OuterEffects: b[g*l.q1 : (g+1)*l.q1], InnerEffects: c[s*l.q2 : (s+1)*l.q2],
			}
		}
	}
	return list
}

// names of the fixed effects.
func (l *fleet) names() []string {
	names := make([]string, l.p)
	for j, t := range l.terms {
		names[j] = l.parameterName(t.parameter)
		if t.covariate != intercept {
			names[j] += ": " + l.covariates[t.covariate]
		}
	}
	return names
}

func (l *fleet) effectNames(parameters []int) []string {
	names := make([]string, len(parameters))
	for j, k := range parameters {
		names[j] = l.parameterName(k)
	}
	return names
}

func (l *fleet) parameterName(k int) string {
	if l.parameters[k].Log {
		return "log " + l.curve.Parameters[k]
	}
	return l.curve.Parameters[k]
}

// times of the first and last reading.
func (l *fleet) times() (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	for _, r := range l.readings {
		first, last = min(first, r.Time), max(last, r.Time)
	}
	return first, last
}
