package cox

import "math"

// risks returns each row's linear predictor zᵀβ less the largest of its
// stratum, and its weighted risk, the exponential of that times its weight. The
// largest is taken off so that nothing overflows; the partial likelihood does
// not see it.
func (s *design) risks(beta []float64) (predictor, risk []float64) {
	predictor, risk = make([]float64, len(s.row)), make([]float64, len(s.row))
	s.fillRisks(beta, predictor, risk)
	return predictor, risk
}

func (s *design) fillRisks(beta, predictor, risk []float64) {
	for _, g := range s.strata {
		largest := math.Inf(-1)
		for k := g.firstRow; k < g.afterRow; k++ {
			predictor[k] = dot(beta, s.zOf(k))
			largest = max(largest, predictor[k])
		}
		for k := g.firstRow; k < g.afterRow; k++ {
			predictor[k] -= largest
			risk[k] = s.weight[k] * math.Exp(predictor[k])
		}
	}
}

// walk goes through each stratum from its last time to its first and calls
// visit with the risk set of each moment at which lives end.
func (s *design) walk(risk []float64, ties Ties, visit func(m int, r *riskSet)) {
	set := newRiskSet(s.q)
	changing := newCarried(s.q)
	for _, g := range s.strata {
		clear(set.all)
		changing.reset()
		for m := g.from; m < g.to; m++ {
			at := &s.moments[m]
			if s.leaving == nil {
				for k := at.from; k < at.to; k++ {
					set.all.add(risk[k], s.zOf(k))
				}
			} else {
				s.change(changing, risk, m)
			}
			if at.deaths == 0 {
				continue
			}
			if s.leaving != nil && !changing.total(set.all) {
				s.renew(changing, risk, m)
				changing.total(set.all)
			}
			if at.deaths > 1 && ties == Efron {
				clear(set.deaths)
				for k := at.from; k < at.from+at.deaths; k++ {
					set.deaths.add(risk[k], s.zOf(k))
				}
			}
			set.turns(at, ties)
			visit(m, set)
		}
	}
}

// change lets in the rows that stop at moment m and takes out those that were
// not yet watched.
func (s *design) change(sums *carried, risk []float64, m int) {
	for k := s.moments[m].from; k < s.moments[m].to; k++ {
		sums.add(risk[k], s.zOf(k))
	}
	for _, k := range s.gone(m) {
		sums.add(-risk[k], s.zOf(int(k)))
	}
}

// renew sums the rows at risk at moment m anew.
func (s *design) renew(sums *carried, risk []float64, m int) {
	sums.reset()
	for k := s.strata[s.moments[m].stratum].firstRow; k < s.moments[m].to; k++ {
		if int(s.leaves[k]) > m {
			sums.add(risk[k], s.zOf(k))
		}
	}
}

// zOf is row k of z.
func (s *design) zOf(k int) []float64 { return s.z[k*s.q : (k+1)*s.q] }

// gone are the rows no longer at risk at moment m that were at the one after.
func (s *design) gone(m int) []int32 {
	if s.leaving == nil {
		return nil
	}
	after := len(s.leaving)
	if m+1 < len(s.moments) {
		after = s.moments[m+1].gone
	}
	return s.leaving[s.moments[m].gone:after]
}

func dot(a, b []float64) (sum float64) {
	for j, x := range a {
		sum += x * b[j]
	}
	return sum
}
