package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
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

	random   []int     // the places of parameters with random effects
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
	m.random = slices.Concat(l.outerParams, l.innerParams)
	slices.Sort(m.random)
	m.random = slices.Compact(m.random)
	m.take()
	return m
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

// tangents fills the arrow and the pulls at m.u and returns the sum there,
// +Inf where a curve has no value.
func (m *modes) tangents(g int) float64 {
	l, k := m.l, m.arrow.k
	sum := floats.Dot(m.u, m.u)
	clear(m.pull)
	for s := range m.arrow.branches {
		m.move(m.u, s)
		weighs, pull := m.arrow.branches[s].g.Data, m.pull[s*k:(s+1)*k]
		clear(weighs)
		rows := l.inner[l.outer[g].from+s]
		for i := rows.from; i < rows.to; i++ {
			r := &l.readings[i]
			c := m.look(i-l.rowsOf[g].from, r)
			sum += r.Weight * c.off * c.off
			for a, d := range c.gradient {
				d *= r.Weight
				pull[a] += d * c.off
				for b := range k {
					weighs[a*k+b] += d * c.gradient[b]
				}
			}
		}
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// move sets shift to what effects like u add to the sums of inner group s.
func (m *modes) move(u []float64, s int) {
	a := m.arrow
	clear(m.shift)
	if a.q1 > 0 {
		blas64.Gemv(blas.NoTrans, 1, a.r1, vector(u[:a.q1]), 0, vector(m.shift))
	}
	if a.q2 > 0 {
		blas64.Gemv(blas.NoTrans, 1, a.r2, vector(m.own(u, s)), 1, vector(m.shift))
	}
}

// own is the stretch of inner group s in effects like u.
func (m *modes) own(u []float64, s int) []float64 {
	a := m.arrow
	return u[a.q1+s*a.q2 : a.q1+(s+1)*a.q2]
}

// look evaluates the curve of reading i of the group with the shift.
func (m *modes) look(i int, r *Reading) *curveAt {
	c := &m.curves[i]
	floats.AddTo(c.η, m.base[i*m.arrow.k:(i+1)*m.arrow.k], m.shift)
	copy(m.η, c.η)
	c.off = r.Value - m.l.value(m.η, r.Time, c.gradient)
	return c
}

// bend fills the arrow of the curves themselves where the tangents were made,
// and factors it. It reports false if that is not positive definite.
func (m *modes) bend(g int) bool {
	l := m.l
	for s := range m.bent.branches {
		weighs := m.bent.branches[s].g.Data
		copy(weighs, m.arrow.branches[s].g.Data)
		rows := l.inner[l.outer[g].from+s]
		for i := rows.from; i < rows.to; i++ {
			c := &m.curves[i-l.rowsOf[g].from]
			m.second(c, l.readings[i].Time)
			floats.AddScaled(weighs, -l.readings[i].Weight*c.off, c.hessian)
		}
	}
	_, ok := m.bent.factor()
	return ok
}

// second fills the second derivatives of a curve by central differences of its
// exact first ones, good to about ten digits.
func (m *modes) second(c *curveAt, time float64) {
	k := m.arrow.k
	for _, j := range m.random {
		h := 6e-6 * max(1, math.Abs(c.η[j]))
		row := c.hessian[j*k : (j+1)*k]
		copy(m.η, c.η)
		m.η[j] += h
		m.l.value(m.η, time, row)
		copy(m.η, c.η)
		m.η[j] -= h
		m.l.value(m.η, time, m.gradient)
		for a := range row {
			row[a] = (row[a] - m.gradient[a]) / (2 * h)
			c.hessian[a*k+j] = row[a]
		}
	}
}

// solve sets step to the solution of an arrow times Rᵀf − u.
func (m *modes) solve(by *arrow) {
	a := m.arrow
	for i, u := range m.u {
		m.step[i] = -u
	}
	for s := range a.branches {
		pull := vector(m.pull[s*a.k : (s+1)*a.k])
		if a.q1 > 0 {
			blas64.Gemv(blas.Trans, 1, a.r1, pull, 1, vector(m.step[:a.q1]))
		}
		if a.q2 > 0 {
			blas64.Gemv(blas.Trans, 1, a.r2, pull, 1, vector(m.own(m.step, s)))
		}
	}
	by.solve(m.step)
}
