package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/decay"
)

// extension is a model with one fixed effect more than that of a fit, in a fleet
// that stands where the fit is.
type extension struct {
	from  *CurvesFit
	fleet *fleet
	model CurveModel
	at    int     // the place of the effect among the fixed ones
	step  float64 // of the effect, small against what readings tell of it
}

// stretched extends exponentials by the logarithm of a power, the same for all
// groups, that stretches them.
func (f *CurvesFit) stretched() (*extension, error) {
	model := stretchedModel(f.model, append(f.typicalValues(), 1))
	return f.extended(model, len(f.model.Parameters), 0.02)
}

func stretchedModel(exponential CurveModel, start []float64) CurveModel {
	model := exponential
	model.Curve, model.Start = decay.Stretched(), start
	model.Parameters = append(slices.Clone(exponential.Parameters), Parameter{Log: true})
	return model
}

// freed lets the readings tell a parameter that was known.
func (f *CurvesFit) freed(parameter int) (*extension, error) {
	model := f.model
	model.Start, model.Parameters = f.typicalValues(), slices.Clone(model.Parameters)
	model.Parameters[parameter].Known = nil
	return f.extended(model, parameter, 0.05)
}

func (f *CurvesFit) typicalValues() []float64 {
	var values []float64
	for _, p := range f.Typical(make([]float64, len(f.model.Covariates))).Parameters() {
		values = append(values, p.Value)
	}
	return values
}

func (f *CurvesFit) extended(model CurveModel, parameter int, step float64) (*extension, error) {
	l, err := newFleet(f.fleet.readings, model)
	if err != nil {
		return nil, err
	}
	at := slices.Index(l.terms, term{parameter, intercept})
	l.β = slices.Insert(slices.Clone(f.fleet.β), at, l.β[at])
	l.λ = f.fleet.λ
	l.uOuter, l.uInner = slices.Clone(f.fleet.uOuter), slices.Clone(f.fleet.uInner)
	return &extension{f, l, model, at, step}, nil
}

// fit fits the extended model by Laplace's method, from where the fleet is.
func (e *extension) fit() (*CurvesFit, error) {
	if _, err := e.fleet.round(2); err != nil {
		return nil, err
	}
	if err := e.fleet.rest(); err != nil {
		return nil, err
	}
	return newLaplace(e.fleet).fit(e.model)
}

// gain foretells by how much the deviance D of the fit, which is one by Laplace's
// method, falls with the effect x, from its derivatives by x and by everything
// else, ψ, of which V is what is not known:
//
//	(∂D/∂x)² / 2(∂²D/∂x² − hᵀVh/2),  h = ∂²D/∂x∂ψ
//
// This is the score test of the fit's own x: a χ² on one degree of freedom where
// that is right. It is +Inf where the deviance is not convex, so that nothing is
// foretold. The fleet does not move.
//
// Source: Rao, Proc. Camb. Phil. Soc. 44 (1948) 50–57.
func (e *extension) gain() float64 {
	l := e.fleet
	l.form = e.from.fleet.form
	k := l.p + l.form.size
	uOuter, uInner := slices.Clone(l.uOuter), slices.Clone(l.uInner)
	at := &laplace{
		fleet: l, size: e.from.ResidualSD, unit: identity(k),
		center: slices.Insert(slices.Clone(e.from.ψ[:k-1]), e.at, l.β[e.at]),
	}
	β, λ := l.β, l.λ
	defer func() { l.β, l.λ, l.uOuter, l.uInner = β, λ, uOuter, uInner }()

	z, up, down := make([]float64, k), make([]float64, k), make([]float64, k)
	for _, side := range []struct {
		step     float64
		gradient []float64
	}{{e.step, up}, {-e.step, down}} {
		z[e.at] = side.step
		if math.IsInf(at.deviance(z, side.gradient), 1) {
			return math.Inf(1)
		}
	}
	slope := (up[e.at] + down[e.at]) / 2
	floats.Sub(up, down)
	floats.Scale(1/(2*e.step), up)
	bend := up[e.at]
	cross := mat.NewVecDense(k-1, slices.Delete(up, e.at, e.at+1))
	var known mat.VecDense
	known.MulVec(e.from.ψRoot.Slice(0, k-1, 0, k).T(), cross)
	rest := bend - mat.Dot(&known, &known)/2
	if !(rest > 0) {
		return math.Inf(1)
	}
	return slope * slope / (2 * rest)
}

func identity(k int) *mat.Dense {
	unit := mat.NewDense(k, k, nil)
	for j := range k {
		unit.Set(j, j, 1)
	}
	return unit
}
