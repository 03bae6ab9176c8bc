package mixed

import (
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
)

// posterior draws the random effects of one group as they may be, given a
// population and the readings of the group's outer group.
type posterior struct {
	alone *integral // of the outer group; nil if that has no readings
	inner int       // place of the inner group in it; −1 if that has no readings
	size  [2]int    // how many random effects each level has
}

// posterior returns that of a group by its numbers, which need not be in the
// fit.
func (f *CurvesFit) posterior(outer, inner int) posterior {
	l := f.fleet
	p := posterior{inner: -1, size: [2]int{l.q1, l.q2}}
	if l.q2 == 0 {
		inner = 0
	}
	s := slices.IndexFunc(l.labels, func(a label) bool { return a.outer == outer })
	if s < 0 {
		return p
	}
	g := l.groupOf[l.inner[s].from].from
	p.alone = &integral{fleet: l.alone(g)}
	p.alone.room = square(l.p+1, make([]float64, (l.p+1)*(l.p+1)))
	if s, ok := f.places[label{outer, inner}]; ok {
		p.inner = s - l.outer[g].from
	}
	return p
}

// alone returns outer group g as a fleet of its own, where it is.
func (l *fleet) alone(g int) *fleet {
	readings := l.readings[l.rowsOf[g].from:l.rowsOf[g].to]
	a := *l
	a.φ, a.gradient = make([]float64, len(l.φ)), make([]float64, len(l.gradient))
	a.nested = newNested(groupRows(len(readings), func(i int) label {
		if l.q2 == 0 {
			return label{outer: readings[i].Outer}
		}
		return label{readings[i].Outer, readings[i].Inner}
	}), l.p, l.q1, l.q2)
	a.fill(readings)
	uOuter, uInner := l.own(g)
	a.uOuter, a.uInner = slices.Clone(uOuter), slices.Clone(uInner)
	return &a
}

// given moves to the mode of the random effects in a population. It returns
// false where there is none.
func (p *posterior) given(of population) bool {
	if p.alone == nil {
		return true
	}
	in := p.alone
	in.β, in.λ, in.σ = of.β, of.λ, of.σ
	copy(in.coef, in.β)
	_, _, ok := in.mode(0)
	return ok
}

// draw returns random effects of the outer and the inner group: normal around
// the mode with the curvature of the tangents there, or as they are in the
// population where nothing was read.
func (p *posterior) draw(random *rand.Rand, of population) (b, c []float64) {
	noise := func(level int) []float64 {
		z := make([]float64, p.size[level])
		normals(random, z)
		for i := range z {
			z[i] *= of.σ
		}
		return z
	}
	if p.alone == nil {
		return spreadOut(of.λ[0], noise(0)), spreadOut(of.λ[1], noise(1))
	}
	outer := &p.alone.outers[0]
	b = outer.effects(added(p.alone.spherical(outer, nil), noise(0)))
	if p.inner < 0 || p.size[1] == 0 {
		return b, spreadOut(of.λ[1], noise(1))
	}
	inner := &p.alone.inners[p.inner]
	return b, inner.effects(added(p.alone.spherical(inner, b), noise(1)))
}

func added(to, more []float64) []float64 {
	blas64.Axpy(1, vector(more), vector(to))
	return to
}
