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
//	S₀(l) = s₀ u,  u = 1 − f d₀/s₀,  f = l/d (Efron) or 0 (Breslow)
//
// All that is ever needed of the turns is sums over them. Those are kept
// relative to s₀, whose square can be too small for a float.
type riskSet struct {
	all    sums // of all rows at risk
	deaths sums // of those that end; 0 where d = 1 or ties are not Efron's

	inverse         float64   // 1/s₀
	mean, deathMean []float64 // s₁ of all and of deaths, each divided by s₀ of all

	rate, rateF           float64 // ∑ (W/d)/u,  ∑ f (W/d)/u
	spread, spreadF, both float64 // ∑ (W/d)/u²,  ∑ f (W/d)/u²,  ∑ f² (W/d)/u²
	logs                  float64 // ∑ (W/d) log S₀
}

func newRiskSet(q int) *riskSet {
	return &riskSet{all: newSums(q), deaths: newSums(q), mean: make([]float64, q), deathMean: make([]float64, q)}
}

// turns fills what follows from the sums.
func (r *riskSet) turns(m *moment, ties Ties) {
	r.inverse = 1 / r.all[0]
	for a, s := range r.all.first(len(r.mean)) {
		r.mean[a] = s * r.inverse
	}
	r.logs = m.weight * math.Log(r.all[0])
	if ties != Efron || m.deaths == 1 {
		r.rate, r.spread = m.weight, m.weight
		r.rateF, r.spreadF, r.both = 0, 0, 0
		return
	}
	for a, s := range r.deaths.first(len(r.mean)) {
		r.deathMean[a] = s * r.inverse
	}
	r.rate, r.rateF, r.spread, r.spreadF, r.both = 0, 0, 0, 0, 0
	share, ended := m.weight/float64(m.deaths), r.deaths[0]*r.inverse
	for l := range m.deaths {
		f := float64(l) / float64(m.deaths)
		u := 1 - f*ended
		rate := share / u
		r.rate += rate
		r.rateF += f * rate
		r.spread += rate / u
		r.spreadF += f * rate / u
		r.both += f * f * rate / u
		r.logs += share * math.Log(u)
	}
}

// gained adds W times the mean of z over the turns to u, with a factor.
func (r *riskSet) gained(u []float64, factor float64) {
	for a, z := range r.mean {
		u[a] += factor * r.rate * z
	}
	if r.rateF != 0 {
		for a, z := range r.deathMean {
			u[a] -= factor * r.rateF * z
		}
	}
}

// information adds W times the mean variance of z over the turns to the lower
// triangle, with a factor:
//
//	∑ₗ (W/d) (S₂(l)/S₀(l) − S₁(l) S₁(l)ᵀ/S₀(l)²)
func (r *riskSet) information(into []float64, factor float64) {
	if r.rateF != 0 {
		r.informationOfDeaths(into, factor)
	}
	squares := r.all.second(len(r.mean))
	rate, spread := factor*r.rate*r.inverse, factor*r.spread
	for a, z := range r.mean {
		line, square := into[:a+1], squares[:a+1]
		into, squares = into[a+1:], squares[a+1:]
		z *= spread
		for b := range line {
			line[b] += rate*square[b] - z*r.mean[b]
		}
	}
}

// informationOfDeaths is what the shares that ended lives no longer count with
// change in information.
func (r *riskSet) informationOfDeaths(into []float64, factor float64) {
	all, deaths, squares := r.mean, r.deathMean, r.deaths.second(len(r.mean))
	at := 0
	for a := range all {
		for b := range a + 1 {
			into[at] += factor * (r.spreadF*(all[a]*deaths[b]+deaths[a]*all[b]) -
				r.both*deaths[a]*deaths[b] - r.rateF*r.inverse*squares[at])
			at++
		}
	}
}
