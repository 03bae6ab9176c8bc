package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

// modes looks for the most likely random effects of a fleet's outer groups, one
// group at a time. It has room of its own, so that several can work at once on
// one fleet.
type modes struct {
	l       *fleet
	arrow   *arrow    // of the tangents of the last group's curves: G = ∑ w gradient gradientᵀ
	bent    *arrow    // of the curves themselves: G − ∑ w r K
	isBent  bool      // bent is where the group is, and positive definite
	u, step []float64 // effects of that group: outer, then each inner group's
	pull    []float64 // fₛ = ∑ w r gradient of each of its inner groups, k numbers each
	curves  []curveAt // of each of its readings

	varied   []int     // the places of parameters that second derivatives are taken along
	base     []float64 // sums of the fixed parts of each reading of the group
	shift    []float64 // R₁u₁ + R₂u₂ of one inner group
	η        []float64
	gradient []float64
}

// curveAt is the curve of a reading where its group is.
type curveAt struct {
	η        []float64 // sums of the parameters
	off      float64   // r = y − m
	gradient []float64 // by the sums
	hessian  []float64 // K, as far as parameters have random effects
	turn     []float64 // see bends
}

// newtonWithin is the length of a step, in σ, from which on steps use second
// derivatives: Gauss–Newton steps lead safely near to the mode and then may
// come nearer only slowly.
const newtonWithin = 0.1

func newModes(l *fleet) *modes {
	k := len(l.parameters)
	m := &modes{l: l, arrow: newArrow(k, l.q1, l.q2), bent: newArrow(k, l.q1, l.q2)}
	m.η, m.gradient, m.shift = make([]float64, k), make([]float64, k), make([]float64, k)
	m.varied = l.varied()
	m.take()
	return m
}

// varied are the parameters along which second derivatives are taken: those with
// random effects, or those that the curve is not straight in if they are fewer,
// for these tell the rest.
func (l *fleet) varied() []int {
	random := slices.Concat(l.outerParams, l.innerParams)
	slices.Sort(random)
	random = slices.Compact(random)
	var curved []int
	for k, p := range l.parameters {
		fixed, log := p.Known != nil && !p.Outer && !p.Inner, p.Known == nil && p.Log
		if !fixed && (log || !slices.Contains(l.curve.Straight, k)) {
			curved = append(curved, k)
		}
	}
	if len(curved) < len(random) {
		return curved
	}
	return random
}

// take takes over Λ from the fleet.
func (m *modes) take() {
	m.arrow.r1, m.arrow.r2 = m.l.spreadOn(0), m.l.spreadOn(1)
	m.bent.r1, m.bent.r2 = m.arrow.r1, m.arrow.r2
}

// spreadOn returns the R of a level: the rows of Λ at the places of the
// parameters that have its effects.
func (l *fleet) spreadOn(level int) blas64.General {
	λ, parameters := l.λ[level], [2][]int{l.outerParams, l.innerParams}[level]
	r := matrix(len(l.parameters), λ.N, make([]float64, len(l.parameters)*λ.N))
	for j, k := range parameters {
		copy(r.Data[k*r.Stride:], λ.Data[j*λ.Stride:j*λ.Stride+j+1])
	}
	return r
}

// settle moves the effects of group g to their mode, where
//
//	∑ w (y − m)² + ‖u‖²
//
// is least, by Gauss–Newton and then Newton steps that are halved until it
// falls. It returns the log of the determinant of the tangents' arrow and that
// sum. A Newton step shorter than 1e-5 σ is the last: what is off then is of the
// order of its square. It reports false if none of 100 is.
func (m *modes) settle(g int, σ float64) (logDet, sum float64, ok bool) {
	m.enter(g)
	sum = m.tangents(g)
	for range 100 {
		if _, ok := m.arrow.factor(); !ok || math.IsInf(sum, 1) {
			break
		}
		m.solve(m.arrow)
		if m.isBent = floats.Norm(m.step, 2) <= newtonWithin*σ && m.bend(g); m.isBent {
			m.solve(m.bent)
		}
		if m.isBent && floats.Norm(m.step, 2) <= 1e-5*σ {
			return m.finish(g)
		}
		next, share := math.Inf(1), 1.0
		for ; share > 1e-10; share /= 2 {
			floats.AddScaled(m.u, share, m.step)
			if next = m.tangents(g); next <= sum*(1+1e-14) {
				break
			}
			floats.AddScaled(m.u, -share, m.step)
		}
		if share <= 1e-10 { // rounding hides any gain
			clear(m.step)
			return m.finish(g)
		}
		sum = next
	}
	return 0, 0, false
}

// finish takes the last step.
func (m *modes) finish(g int) (logDet, sum float64, ok bool) {
	floats.Add(m.u, m.step)
	sum = m.tangents(g)
	logDet, ok = m.arrow.factor()
	m.isBent = ok && m.bend(g)
	m.leave(g)
	return logDet, sum, ok && !math.IsInf(sum, 1)
}

// enter takes up the effects of group g and the fixed parts of its readings.
func (m *modes) enter(g int) {
	l, k := m.l, m.arrow.k
	uOuter, uInner := l.own(g)
	m.u = append(append(m.u[:0], uOuter...), uInner...)
	m.step = sized(m.step, len(m.u))
	m.arrow.hold(l.outer[g].len())
	m.bent.hold(l.outer[g].len())
	m.pull = sized(m.pull, k*l.outer[g].len())
	rows := l.rowsOf[g]
	m.base = sized(m.base, k*rows.len())
	for i := range rows.len() {
		l.sum(m.base[i*k:(i+1)*k], l.β, l.readings[rows.from+i].Covariates)
	}
	for len(m.curves) < rows.len() {
		room := func(n int) []float64 { return make([]float64, n) }
		m.curves = append(m.curves, curveAt{η: room(k), gradient: room(k), hessian: room(k * k), turn: room(k)})
	}
}

// sized returns a slice of a length, in the room of another if there is enough.
func sized(room []float64, length int) []float64 { return slices.Grow(room[:0], length)[:length] }

// own returns the stretches of u that belong to outer group g.
func (l *fleet) own(g int) (outer, inner []float64) {
	s := l.outer[g]
	return l.uOuter[g*l.q1 : (g+1)*l.q1], l.uInner[s.from*l.q2 : s.to*l.q2]
}

// leave puts the effects of group g where the fleet keeps them.
func (m *modes) leave(g int) {
	uOuter, uInner := m.l.own(g)
	copy(uOuter, m.u)
	copy(uInner, m.u[len(uOuter):])
}
