package mixed

import (
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

// posterior draws the random effects of one group as they may be, given a
// population and the readings of the group's outer group.
type posterior struct {
	alone *modes // of the outer group; nil if that has no readings
	inner int    // place of the inner group in it; −1 if that has no readings
	size  [2]int // how many random effects each level has
}

// posterior returns that of a group by its numbers, which need not be in the
// fit.
func (f *CurvesFit) posterior(outer, inner int) posterior {
	l := f.fleet
	s := slices.IndexFunc(l.labels, func(a label) bool { return a.outer == outer })
	if s < 0 {
		return posterior{inner: -1, size: [2]int{l.q1, l.q2}}
	}
	g := l.groupOf[l.inner[s].from].from
	a := l.alone(l.readings[l.rowsOf[g].from:l.rowsOf[g].to])
	uOuter, uInner := l.own(g) // a good place to begin
	copy(a.uOuter, uOuter)
	copy(a.uInner, uInner)
	return a.posterior(inner)
}

// posterior returns that of an inner group of the fleet, which is one outer group.
func (l *fleet) posterior(inner int) posterior {
	if l.q2 == 0 {
		inner = 0
	}
	place := slices.IndexFunc(l.labels, func(a label) bool { return a.inner == inner })
	return posterior{alone: newModes(l), inner: place, size: [2]int{l.q1, l.q2}}
}

// alone returns the readings of one outer group as a fleet of its own, on the
// curve of the middle.
func (l *fleet) alone(readings []Reading) *fleet {
	a := *l
	a.φ, a.gradient = make([]float64, len(l.φ)), make([]float64, len(l.gradient))
	a.nested = newNested(groupRows(len(readings), func(i int) label {
		if l.q2 == 0 {
			return label{outer: readings[i].Outer}
		}
		return label{readings[i].Outer, readings[i].Inner}
	}), l.p, l.q1, l.q2)
	a.fill(readings)
	a.uOuter, a.uInner = make([]float64, l.q1), make([]float64, l.q2*len(a.inner))
	return &a
}

// given moves to the mode of the random effects in a population. It returns
// false where there is none.
func (p *posterior) given(of population) bool {
	if p.alone == nil {
		return true
	}
	p.alone.l.β, p.alone.l.λ = of.β, of.λ
	p.alone.take()
	_, _, ok := p.alone.settle(0, of.σ)
	return ok
}

// draw sets b and c to random effects of the outer and the inner group: normal
// around the mode with the curvature of the tangents there, or as they are in
// the population where nothing was read.
func (p *posterior) draw(random *rand.Rand, of population, b, c []float64) {
	normals(random, b)
	normals(random, c)
	floats.Scale(of.σ, b)
	floats.Scale(of.σ, c)
	if p.alone != nil {
		p.alone.arrow.scatter(p.inner, b, c)
		floats.Add(b, p.alone.u[:len(b)])
		if p.inner >= 0 {
			floats.Add(c, p.alone.own(p.alone.u, p.inner))
		}
	}
	times(of.λ[0], b)
	times(of.λ[1], c)
}

// times replaces u by Λu.
func times(λ blas64.Triangular, u []float64) {
	if len(u) > 0 {
		blas64.Trmv(blas.NoTrans, λ, vector(u))
	}
}
