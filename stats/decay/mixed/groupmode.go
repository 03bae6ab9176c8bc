package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// own returns the stretches of u that belong to outer group g.
func (l *fleet) own(g int) (outer, inner []float64) {
	s := l.outer[g]
	return l.uOuter[g*l.q1 : (g+1)*l.q1], l.uInner[s.from*l.q2 : s.to*l.q2]
}

// groupSum is the part of group g in what settle minimises.
func (l *fleet) groupSum(g int) float64 {
	uOuter, uInner := l.own(g)
	sum := floats.Dot(uOuter, uOuter) + floats.Dot(uInner, uInner)
	b, c := spreadOut(l.λ[0], uOuter), spreadOut(l.λ[1], uInner)
	for i := l.rowsOf[g].from; i < l.rowsOf[g].to; i++ {
		sum += l.off(i, b, l.within(g, c, i))
	}
	return sum
}

// off is the weighted square by which reading i is off its curve.
func (l *fleet) off(i int, b, c []float64) float64 {
	r := &l.readings[i]
	off := r.Value - l.at(i, l.β, b, c)
	return r.Weight * off * off
}

// within picks the inner effects of reading i among those of group g.
func (l *fleet) within(g int, c []float64, i int) []float64 {
	s := l.groupOf[i].to - l.outer[g].from
	return c[s*l.q2 : (s+1)*l.q2]
}

// groupTangents makes the linear model of group g where it is.
func (l *fleet) groupTangents(g int) {
	uOuter, uInner := l.own(g)
	b, c := spreadOut(l.λ[0], uOuter), spreadOut(l.λ[1], uInner)
	for i := l.rowsOf[g].from; i < l.rowsOf[g].to; i++ {
		l.tangent(i, b, l.within(g, c, i))
	}
	m := l.columns()
	l.outers[g].multiply(l.part(l.rowsOf[g], l.q2, l.q2+l.q1), l.part(l.rowsOf[g], l.q2+l.q1, m))
	for s := l.outer[g].from; l.q2 > 0 && s < l.outer[g].to; s++ {
		l.inners[s].multiply(l.part(l.inner[s], 0, l.q2), l.part(l.inner[s], l.q2, m))
	}
}

// groupEffects returns the u, outer then inner, that the linear model of group
// g predicts.
func (l *fleet) groupEffects(g int) []float64 {
	v := l.spherical(&l.outers[g], nil)
	b := l.outers[g].effects(v)
	u := l.outers[g].whiten(v)
	for s := l.outer[g].from; l.q2 > 0 && s < l.outer[g].to; s++ {
		u = append(u, l.inners[s].whiten(l.spherical(&l.inners[s], b))...)
	}
	return u
}

// groupStep goes to u, or as far towards it as group g's sum falls. It returns
// how far that was, and the sum there.
func (l *fleet) groupStep(g int, u []float64, here float64) (moved, sum float64) {
	uOuter, uInner := l.own(g)
	from := slices.Concat(uOuter, uInner)
	step := make([]float64, len(u))
	floats.SubTo(step, u, from)
	put := func(share float64) {
		there := make([]float64, len(u))
		floats.AddScaledTo(there, from, share, step)
		copy(uOuter, there)
		copy(uInner, there[len(uOuter):])
	}
	for share := 1.0; share > 1e-10; share /= 2 {
		put(share)
		if sum = l.groupSum(g); sum <= here*(1+1e-14) {
			return share * floats.Norm(step, 2), sum
		}
	}
	put(0)
	return 0, here
}

// quadrature returns −2 log of the integral over the one random effect of
// each member of outer group g, but for the constants that all share:
//
//	∫ exp(−(RSS(u) + u²)/2σ²) du/√(2πσ²),  nodes u = û + √2 σ x/L
//
// around the modes û, with L² the curvature of the exponent there, times σ².
func (in *integral) quadrature(g int) float64 {
	if in.q1 > 0 {
		return in.overOne(&in.outers[g], in.uOuter[g], in.rowsOf[g])
	}
	sum := 0.0
	for s := in.outer[g].from; s < in.outer[g].to; s++ {
		sum += in.overOne(&in.inners[s], in.uInner[s], in.inner[s])
	}
	return sum
}

func (in *integral) overOne(g *member, mode float64, rows block) float64 {
	curve, effect := g.l[0], make([]float64, 1)
	b, c, λ := effect, effect[:0], in.λ[0]
	if in.q1 == 0 {
		b, c, λ = effect[:0], effect, in.λ[1]
	}
	logs := make([]float64, len(in.nodes))
	for k, x := range in.nodes {
		u := mode + math.Sqrt2*in.σ*x/curve
		effect[0] = λ.Data[0] * u
		sum := u * u
		for i := rows.from; i < rows.to; i++ {
			sum += in.off(i, b, c)
		}
		logs[k] = in.logWeight[k] - sum/(2*in.σ*in.σ)
	}
	return -2 * (floats.LogSumExp(logs) - math.Log(curve) - math.Log(math.Pi)/2)
}
