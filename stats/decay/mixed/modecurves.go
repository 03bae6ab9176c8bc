package mixed

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

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
	for _, j := range m.varied {
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
