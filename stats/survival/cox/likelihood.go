package cox

import "math"

// point is the partial log-likelihood at some coefficients, with its
// derivatives:
//
//	ℓ(β) = ∑ moments ( ∑ ended w zᵀβ − ∑ turns (W/d) log S₀ )
//
// score is ∂ℓ/∂β, information the lower triangle of −∂²ℓ/∂β∂βᵀ, row after row.
type point struct {
	beta               []float64
	logLik             float64
	score, information []float64
}

// likelihood evaluates points; it keeps what the next one can use again.
type likelihood struct {
	*design
	ties            Ties
	predictor, risk []float64
	ended           []float64 // ∑ w z of rows that ended: the same at each point
	subsets         subsets
}

func (s *design) likelihood(ties Ties) *likelihood {
	l := &likelihood{
		design: s, ties: ties,
		predictor: make([]float64, len(s.row)), risk: make([]float64, len(s.row)),
		ended:   make([]float64, s.q),
		subsets: subsets{q: s.q},
	}
	for m := range s.moments {
		if l.standard(m) {
			s.addEnded(m, l.ended, 1)
		}
	}
	return l
}

// standard reports whether a moment's term is that of one end, or of an
// approximation for several.
func (l *likelihood) standard(m int) bool { return l.ties != Exact || l.moments[m].deaths <= 1 }

// addEnded adds w z of the rows that ended at moment m to u, with a factor.
func (s *design) addEnded(m int, u []float64, factor float64) {
	at := &s.moments[m]
	for k := at.from; k < at.from+at.deaths; k++ {
		for j, z := range s.zOf(k) {
			u[j] += factor * s.weight[k] * z
		}
	}
}

// tiny is the least s₀ that has all its digits, and an inverse.
const tiny = 1e-290

// at evaluates the likelihood. It is not a finite number where hazards are too
// far apart for floats.
func (l *likelihood) at(beta []float64) *point {
	l.fillRisks(beta, l.predictor, l.risk)
	p := &point{beta: beta, score: make([]float64, l.q), information: make([]float64, triangle(l.q))}
	l.walk(l.risk, l.ties, func(m int, r *riskSet) {
		if !l.standard(m) {
			l.subsets.term(l.design, m, l.predictor, l.risk, p)
			return
		}
		at := &l.moments[m]
		for k := at.from; k < at.from+at.deaths; k++ {
			p.logLik += l.weight[k] * l.predictor[k]
		}
		if p.logLik -= r.logs; r.all[0] < tiny {
			p.logLik = math.NaN()
		}
		r.gained(p.score, -1)
		r.information(p.information, 1)
	})
	for j, sum := range l.ended {
		p.score[j] += sum
	}
	return p
}
