package mixed

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// Group is what is known of one group: an inner one where there are two
// levels, else an outer one, with Inner 0 and no InnerEffects.
type Group struct {
	Outer, Inner int
	Rows         int // its own

	// OuterEffects and InnerEffects are the best linear unbiased predictions
	// of its random effects, which shrink towards 0 the less its rows tell.
	OuterEffects, InnerEffects []float64
}

// groups lists the groups with their predicted random effects at the last
// absorb.
func (n *nested) groups() []Group {
	list := make([]Group, 0, len(n.inner))
	for g := range n.outers {
		u := n.spherical(&n.outers[g], nil)
		b := n.outers[g].effects(u)
		for s := n.outer[g].from; s < n.outer[g].to; s++ {
			group := Group{
				Outer: n.labels[s].outer, Inner: n.labels[s].inner,
				Rows: n.inner[s].len(), OuterEffects: b,
			}
			if n.q2 > 0 {
				group.InnerEffects = n.inners[s].effects(n.spherical(&n.inners[s], b))
			}
			list = append(list, group)
		}
	}
	return list
}

// spherical returns S Zᵀ V₀⁻¹ (y − Xβ − Z₁b), from which the group's random
// effects follow. b is nil for an outer group.
func (n *nested) spherical(g *member, b []float64) []float64 {
	rest := make([]float64, 0, g.m)
	for _, x := range b {
		rest = append(rest, -x)
	}
	for _, x := range n.coef {
		rest = append(rest, -x)
	}
	rest = append(rest, 1)
	v := make([]float64, g.q)
	if g.q > 0 {
		blas64.Gemv(blas.NoTrans, 1, g.cols(0, g.m), vector(rest), 0, vector(v))
	}
	return v
}

// effects returns Sᵀ v.
func (g *member) effects(v []float64) []float64 {
	b := make([]float64, g.q)
	if g.q > 0 {
		blas64.Gemv(blas.Trans, 1, square(g.q, g.s), vector(v), 0, vector(b))
	}
	return b
}

// spreads describes the estimated covariances.
func (n *nested) spreads(f form, model LinearModel, at []float64) []Spread {
	λ := f.factors(at)
	σ := n.sigma(model.Criterion)
	list := make([]Spread, len(model.Levels))
	for l, level := range model.Levels {
		list[l] = newSpread(level.Effects, λ[l], σ)
		list[l].Groups = len(n.outer)
		if l == 1 {
			list[l].Groups = len(n.inner)
		}
	}
	return list
}

func newSpread(effects []string, λ blas64.Triangular, σ float64) Spread {
	q := len(effects)
	if q == 0 {
		return Spread{}
	}
	spread := Spread{Effects: effects, Covariance: mat.NewSymDense(q, nil), factor: make([]float64, q*q)}
	for i, x := range λ.Data {
		spread.factor[i] = σ * x
	}
	spread.Covariance.SymOuterK(1, mat.NewDense(q, q, spread.factor))
	return spread
}

// error takes apart the error of a prediction aᵀβ + dᵀb + eᵀc for outer group
// g and inner group s, from the innermost: c as known as it is given b and β,
// then b given β, then β. The first two are independent of all else and of
// variance σ²·known·known; what is left of a multiplies the error of β. The
// parts of two predictions of one group line up, so that their products give
// the covariance.
func (n *nested) error(g, s int, a, d, e []float64) (known, rest []float64) {
	rest = append([]float64(nil), a...)
	blas64.Trsv(blas.Trans, n.r, vector(rest)) // by β̃
	d = append([]float64(nil), d...)
	if n.q2 > 0 {
		known = append(known, n.inners[s].explain(e, d, rest)...)
	}
	if n.q1 > 0 {
		known = append(known, n.outers[g].explain(d, rest)...)
	}
	blas64.Trmv(blas.Trans, n.r, vector(rest))
	return known, rest
}

// explain returns S e, whose square is the variance of eᵀ(random effects)
// given all else, and subtracts from the coefficients of what is to the right,
// in order, what the prediction of those effects takes from it.
func (g *member) explain(e []float64, right ...[]float64) []float64 {
	se := make([]float64, g.q)
	blas64.Gemv(blas.NoTrans, 1, square(g.q, g.s), vector(e), 0, vector(se))
	from := 0
	for _, coef := range right {
		if len(coef) > 0 {
			blas64.Gemv(blas.Trans, -1, g.cols(from, from+len(coef)), vector(se), 1, vector(coef))
		}
		from += len(coef)
	}
	return se
}
