package cox

import "math"

// sums are weighted moments of z over some rows, each row weighted with its
// risk r = w exp(zᵀβ):
//
//	s₀ = ∑ r,  s₁ = ∑ r z,  s₂ = ∑ r z zᵀ (lower triangle, row after row)
//
// in one slice: s₀ at 0, s₁ from 1 on, s₂ from 1 + q on.
type sums []float64

func newSums(q int) sums { return make(sums, 1+q+triangle(q)) }

// triangle is the size of the lower triangle of a q × q matrix.
func triangle(q int) int { return q * (q + 1) / 2 }

func (s sums) first(q int) []float64  { return s[1 : 1+q] }
func (s sums) second(q int) []float64 { return s[1+q:] }

// add adds a row of risk r.
func (s sums) add(r float64, z []float64) {
	s[0] += r
	q := len(z)
	first, second := s[1:1+q], s[1+q:]
	for a, za := range z {
		rz := r * za
		first[a] += rz
		line := second[:a+1]
		second = second[a+1:]
		for b := range line {
			line[b] += rz * z[b]
		}
	}
}

// carried are sums from which rows are taken away again. What rounding loses
// is carried along (Knuth's two-sum), so that small risk sets are still right
// after large risks have left.
type carried struct {
	sum, lost, row sums
	peak           float64 // the largest s₀ since reset
}

func newCarried(q int) *carried {
	return &carried{sum: newSums(q), lost: newSums(q), row: newSums(q)}
}

func (c *carried) reset() {
	clear(c.sum)
	clear(c.lost)
	c.peak = 0
}

// add adds a row; risk is negative when the row leaves.
func (c *carried) add(risk float64, z []float64) {
	clear(c.row)
	c.row.add(risk, z)
	sum, lost := c.sum[:len(c.row)], c.lost[:len(c.row)]
	for i, x := range c.row {
		s := sum[i]
		t := s + x
		part := t - s
		lost[i] += (s - (t - part)) + (x - part)
		sum[i] = t
	}
	c.peak = max(c.peak, sum[0])
}

// total writes the sums and reports whether they are to be trusted: not if
// what is left is so little beside what has left that even what rounding lost
// has been rounded.
func (c *carried) total(into sums) bool {
	for i := range into {
		into[i] = c.sum[i] + c.lost[i]
	}
	return into[0] > 1e-12*c.peak
}

// riskSet is who is at risk at a moment at which lives end.
//
// The d tied ends of total weight W are taken in d turns; in turn l = 0 … d−1
// the ended lives count with a share 1 − f in the risk set, and W/d is gained
// against
//
//	S₀(l) = s₀ − f d₀,  f = l/d (Efron) or 0 (Breslow)
//
// All that is ever needed of the turns is sums over them.
type riskSet struct {
	all    sums // of all rows at risk
	deaths sums // of those that end; used where d > 1 and ties are Efron's

	rate, rateF           float64 // ∑ (W/d)/S₀,  ∑ f (W/d)/S₀
	spread, spreadF, both float64 // ∑ (W/d)/S₀²,  ∑ f (W/d)/S₀²,  ∑ f² (W/d)/S₀²
	logs                  float64 // ∑ (W/d) log S₀
}

// turns fills the sums over turns.
func (r *riskSet) turns(m *moment, ties Ties) {
	if ties == Breslow || m.deaths == 1 {
		inverse := 1 / r.all[0]
		r.rate = m.weight * inverse
		r.spread = r.rate * inverse
		r.logs = m.weight * math.Log(r.all[0])
		r.rateF, r.spreadF, r.both = 0, 0, 0
		return
	}
	r.rate, r.rateF, r.spread, r.spreadF, r.both, r.logs = 0, 0, 0, 0, 0, 0
	share := m.weight / float64(m.deaths)
	for l := range m.deaths {
		f := float64(l) / float64(m.deaths)
		s0 := r.all[0] - f*r.deaths[0]
		rate := share / s0
		r.rate += rate
		r.rateF += f * rate
		r.spread += rate / s0
		r.spreadF += f * rate / s0
		r.both += f * f * rate / s0
		r.logs += share * math.Log(s0)
	}
}

// gained adds W times the mean of z over the turns to u, with a factor.
func (r *riskSet) gained(u []float64, factor float64) {
	q := len(u)
	for a, s := range r.all.first(q) {
		u[a] += factor * r.rate * s
	}
	if r.rateF != 0 {
		for a, s := range r.deaths.first(q) {
			u[a] -= factor * r.rateF * s
		}
	}
}

// information adds W times the mean variance of z over the turns to the lower
// triangle, with a factor:
//
//	∑ₗ (W/d) (S₂(l)/S₀(l) − S₁(l) S₁(l)ᵀ/S₀(l)²)
func (r *riskSet) information(into []float64, q int, factor float64) {
	if r.rateF != 0 {
		r.informationOfDeaths(into, q, factor)
	}
	first, second := r.all.first(q), r.all.second(q)
	rate, spread := factor*r.rate, factor*r.spread
	for a, sa := range first {
		line, squares := into[:a+1], second[:a+1]
		into, second = into[a+1:], second[a+1:]
		sa *= spread
		for b := range line {
			line[b] += rate*squares[b] - sa*first[b]
		}
	}
}

// informationOfDeaths is what the shares that ended lives no longer count with
// change in information.
func (r *riskSet) informationOfDeaths(into []float64, q int, factor float64) {
	all, deaths, squares := r.all.first(q), r.deaths.first(q), r.deaths.second(q)
	at := 0
	for a := range q {
		for b := range a + 1 {
			into[at] += factor * (r.spreadF*(all[a]*deaths[b]+deaths[a]*all[b]) -
				r.both*deaths[a]*deaths[b] - r.rateF*squares[at])
			at++
		}
	}
}
