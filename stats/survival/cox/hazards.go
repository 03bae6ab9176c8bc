package cox

// hazards holds, for each moment, what rows at risk then are compared with, and
// its sums from the stratum's last moment back to it. Indices are those of the
// design's moments; means have q numbers a moment.
//
// Of rows that end at the moment itself Efron's treatment counts a share 1 − f
// in turn l, so that sums for them differ; the fields …Ended have them.
type hazards struct {
	q                   int
	risk                []float64 // of rows
	rate, rateEnded     []float64 // ∑ (W/d)/S₀
	mean, meanEnded     []float64 // ∑ (W/d) S₁/S₀²: the rates, each times the mean z of its turn
	spread, spreadEnded []float64 // ∑ (W/d)/S₀²
	average             []float64 // the mean over turns of the mean z

	// Sums over this and all earlier times of the stratum.
	rateSum, spreadSum, meanSum []float64
}

// hazards evaluates the risk sets at some coefficients; not for exact ties.
func (s *design) hazards(beta []float64, ties Ties) *hazards {
	n, q := len(s.moments), s.q
	h := &hazards{q: q,
		rate: make([]float64, n), rateEnded: make([]float64, n),
		mean: make([]float64, n*q), meanEnded: make([]float64, n*q),
		spread: make([]float64, n), spreadEnded: make([]float64, n),
		average: make([]float64, n*q),
		rateSum: make([]float64, n), spreadSum: make([]float64, n), meanSum: make([]float64, n*q),
	}
	_, h.risk = s.risks(beta)
	s.walk(h.risk, ties, func(m int, r *riskSet) {
		h.rate[m], h.rateEnded[m] = r.rate*r.inverse, (r.rate-r.rateF)*r.inverse
		h.spread[m] = r.spread * r.inverse * r.inverse
		h.spreadEnded[m] = (r.spread - r.spreadF) * r.inverse * r.inverse
		for j := range q {
			h.mean[m*q+j] = r.inverse * (r.spread*r.mean[j] - r.spreadF*r.deathMean[j])
			h.meanEnded[m*q+j] = r.inverse * ((r.spread-r.spreadF)*r.mean[j] - (r.spreadF-r.both)*r.deathMean[j])
		}
		r.gained(h.average[m*q:(m+1)*q], 1/s.moments[m].weight)
	})
	h.sum(s)
	return h
}

// sum fills the sums, in each stratum from its earliest moment, the last in
// order.
func (h *hazards) sum(s *design) {
	for _, g := range s.strata {
		for m := g.to - 1; m >= g.from; m-- {
			h.rateSum[m], h.spreadSum[m] = h.rate[m], h.spread[m]
			sum := h.meanSum[m*h.q : (m+1)*h.q]
			copy(sum, h.mean[m*h.q:])
			if m+1 == g.to {
				continue
			}
			h.rateSum[m] += h.rateSum[m+1]
			h.spreadSum[m] += h.spreadSum[m+1]
			for j := range sum {
				sum[j] += h.meanSum[(m+1)*h.q+j]
			}
		}
	}
}

// whole are the sums of rate, spread and mean over the moments at which row k
// was at risk, counting at its own end only what Efron's treatment counts.
func (h *hazards) whole(s *design, k int, mean []float64) (rate, spread float64) {
	return h.until(s, k, int(s.entered[k]), mean)
}

// until is whole for moments from a given one on, that is up to its time.
func (h *hazards) until(s *design, k, from int, mean []float64) (rate, spread float64) {
	clear(mean)
	from = max(from, int(s.entered[k]))
	if from >= int(s.leaves[k]) {
		return 0, 0
	}
	rate, spread = h.rateSum[from], h.spreadSum[from]
	copy(mean, h.meanSum[from*h.q:(from+1)*h.q])
	if to := int(s.leaves[k]); to < s.strata[s.moments[from].stratum].to {
		rate -= h.rateSum[to]
		spread -= h.spreadSum[to]
		for j := range mean {
			mean[j] -= h.meanSum[to*h.q+j]
		}
	}
	if s.ended(k) && from == int(s.entered[k]) {
		rate += h.rateEnded[from] - h.rate[from]
		spread += h.spreadEnded[from] - h.spread[from]
		for j := range mean {
			mean[j] += h.meanEnded[from*h.q+j] - h.mean[from*h.q+j]
		}
	}
	return rate, spread
}

// ended reports whether row k's life ended.
func (s *design) ended(k int) bool {
	m := &s.moments[s.entered[k]]
	return k < m.from+m.deaths
}
