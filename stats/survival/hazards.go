package survival

import "math"

// hazards maximises the likelihood of interval-censored lives. Its unknowns are
// not the masses of the innermost intervals but their cumulative hazards
// uⱼ = −log(1 − hⱼ) ≥ 0, hⱼ the share of the lives reaching interval j that end
// in it. A row then contributes
//
//	log P(Lower < T ≤ Upper)/P(T > Entry) = −∑ uⱼ (held) + log(1 − exp(−∑ uⱼ (ended)))
//
// which is concave in u with delayed entry too; in the masses it is not. So any
// point that meets the Kuhn–Tucker conditions is the maximum.
//
// Where no row holds through an interval while at risk, a hazard costs nothing
// there and may be infinite: everything at risk ends. Such closing intervals cut
// the problem into stretches that share no row.
type hazards struct {
	rows    []row     // in order of last
	live    []row     // those whose end no closing interval makes certain
	held    []float64 // weight of the rows that hold through interval j
	closing []bool
	from    []int // first and …
	to      []int // … last interval of the stretch that j belongs to

	u        []float64 // 0 at closing intervals, where it stands for +Inf
	slope    []float64 // derivative of the log-likelihood by u
	gradient []float64 // derivative by the masses, scaled: 1 where there is mass, at most 1 elsewhere
	gap      float64   // by how much gradient fails that
}

func newHazards(rows []row, intervals int) *hazards {
	z := &hazards{
		rows:     rows,
		held:     make([]float64, intervals),
		closing:  make([]bool, intervals),
		from:     make([]int, intervals),
		to:       make([]int, intervals),
		u:        make([]float64, intervals),
		slope:    make([]float64, intervals),
		gradient: make([]float64, intervals),
	}
	z.close(z.hold())
	for j := 1; j < intervals; j++ {
		z.from[j] = z.from[j-1]
		if z.closing[j-1] {
			z.from[j] = j
		}
	}
	z.to[intervals-1] = intervals - 1
	for j := intervals - 2; j >= 0; j-- {
		z.to[j] = z.to[j+1]
		if z.closing[j] {
			z.to[j] = j
		}
	}
	return z
}

// hold adds up what holds through each interval and returns for each the last
// interval up to it that nothing holds through, or −1.
func (z *hazards) hold() (free []int) {
	m := len(z.held)
	// Counts beside the weights: their sums are exactly 0 where nothing holds.
	count, weight := make([]int, m+1), make([]float64, m+1)
	for _, r := range z.rows {
		count[r.entry]++
		count[r.first]--
		weight[r.entry] += r.weight
		weight[r.first] -= r.weight
	}
	free = make([]int, m)
	last, n, w := -1, 0, 0.0
	for j := range z.held {
		n += count[j]
		w += weight[j]
		if n == 0 {
			last, w = j, 0
		}
		z.held[j], free[j] = w, last
	}
	return free
}

// close chooses the closing intervals, as few and as late as make certain each
// row that can be. Without delayed entry that is the last interval alone. Rows
// that none makes certain are live.
func (z *hazards) close(free []int) {
	chosen := -1
	for _, r := range z.rows {
		if f := free[r.last]; chosen < r.first && f >= r.first {
			chosen = f
			z.closing[f] = true
		}
		if chosen < r.first {
			z.live = append(z.live, r)
		}
	}
}

// begin sets u to a product-limit estimate on as few intervals as can hold the
// ends of all live rows. Where spans are exact or right-censored that is the
// Kaplan–Meier estimate, and already the maximum.
func (z *hazards) begin() {
	m := len(z.u)
	ended := make([]float64, m)
	risk := make([]float64, m+1)
	chosen := -1
	put := make([]int, 0, len(z.live)) // intervals chosen so far
	for _, r := range z.live {         // in order of last
		if chosen < r.first {
			chosen = r.last
			put = append(put, chosen)
		}
	}
	next := make([]int, m) // first chosen interval from j on
	for j, k := m-1, len(put)-1; j >= 0; j-- {
		for k > 0 && put[k-1] >= j {
			k--
		}
		if k >= 0 {
			next[j] = put[k]
		}
	}
	for _, r := range z.rows {
		last := z.to[r.entry]
		if r.last < last { // a live row
			last = next[r.first]
			ended[last] += r.weight
		}
		risk[r.entry] += r.weight
		risk[last+1] -= r.weight
	}
	atRisk := 0.0
	for j := range z.u {
		atRisk += risk[j]
		if ended[j] > 0 {
			z.u[j] = -math.Log1p(-ended[j] / atRisk)
		}
	}
}

// cumulate returns the sums of u before each interval.
func (z *hazards) cumulate(u []float64) []float64 {
	before := make([]float64, len(u)+1)
	for j, x := range u {
		before[j+1] = before[j] + x
	}
	return before
}

// logLikelihood is that of the hazards u; −Inf where a live row could not end.
func (z *hazards) logLikelihood(u []float64) float64 {
	before := z.cumulate(u)
	sum := 0.0
	for _, r := range z.live {
		sum += r.weight * math.Log(-math.Expm1(before[r.first]-before[r.last+1]))
	}
	for j, w := range z.held {
		sum -= w * u[j]
	}
	return sum
}

// look computes slope, gradient and gap at u and returns the curvature that
// each live row adds.
func (z *hazards) look() []block {
	before := z.cumulate(z.u)
	m := len(z.u)
	steep := make([]float64, m+1)
	blocks := make([]block, len(z.live))
	for i, r := range z.live {
		odds := 1 / math.Expm1(before[r.last+1]-before[r.first])
		steep[r.first] += r.weight * odds
		steep[r.last+1] -= r.weight * odds
		blocks[i] = block{r.first, r.last, r.weight * odds * (1 + odds)}
	}
	sum := 0.0
	for j := range z.slope {
		sum += steep[j]
		z.slope[j] = sum - z.held[j]
		if z.closing[j] {
			z.slope[j] = 0
		}
	}
	z.lookAtMasses(before)
	return blocks
}

// lookAtMasses computes the gradient in terms of masses,
//
//	(∑ wᵢ [j in row i]/P(row i) + ∑ wᵢ [j before entry i]/P(T > entry i)) / ∑ wᵢ/P(T > entry i)
//
// stretch by stretch, each with S = 1 at its start, and how far it fails to be
// 1 where there is mass and at most 1 elsewhere.
func (z *hazards) lookAtMasses(before []float64) {
	m := len(z.u)
	ends := make([]float64, m+1)   // differences of the first sum
	enters := make([]float64, m+1) // 1/P(T > entry) at each entry
	for _, r := range z.rows {
		from := z.from[r.entry]
		last := min(r.last, z.to[from])
		p := math.Exp(before[from] - before[r.first])
		if !z.closing[last] {
			p *= -math.Expm1(before[r.first] - before[last+1])
		}
		ends[r.first] += r.weight / p
		ends[last+1] -= r.weight / p
		enters[r.entry] += r.weight * math.Exp(before[r.entry]-before[from])
	}
	z.gap = 0
	covering := 0.0
	for from := 0; from < m; from = z.to[from] + 1 {
		total := 0.0
		for j := from; j <= z.to[from]; j++ {
			total += enters[j]
		}
		if total == 0 { // nothing enters after all has ended
			break
		}
		entered := 0.0
		for j := from; j <= z.to[from]; j++ {
			covering += ends[j]
			entered += enters[j]
			z.gradient[j] = (covering + total - entered) / total
			excess := z.gradient[j] - 1
			if z.u[j] > 0 || z.closing[j] {
				excess = math.Abs(excess)
			}
			z.gap = max(z.gap, excess)
		}
	}
}
