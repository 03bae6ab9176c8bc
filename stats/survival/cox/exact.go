package cox

import (
	"errors"
	"fmt"
	"math"
)

// ErrExactWork is returned where the exact treatment of ties would take too
// long.
var ErrExactWork = errors.New("too many ties for the exact treatment")

// ErrNotExact is returned for what is not defined, or not offered, where ties
// are treated exactly.
var ErrNotExact = errors.New("not offered for the exact treatment of ties")

// maxExactWork bounds the multiplications of one look at the likelihood, to
// about a second. A fit takes about six looks.
const maxExactWork = 1e9

// checkExact refuses data that the exact treatment cannot do, or not in time.
func (s *design) checkExact() error {
	for k, w := range s.weight {
		if w != 1 {
			return fmt.Errorf("weights other than 1 (row %d has %v): %w", s.row[k], w, ErrNotExact)
		}
	}
	work := 0.0
	for _, g := range s.strata {
		atRisk := 0
		for m := g.from; m < g.to; m++ {
			at := &s.moments[m]
			atRisk += at.to - at.from - len(s.gone(m))
			if at.deaths > 1 {
				work += float64(at.to - g.firstRow) // to find those at risk
				work += float64(atRisk) * float64(min(at.deaths, atRisk-at.deaths)) * float64(1+s.q+triangle(s.q))
			}
		}
	}
	if work > maxExactWork {
		return fmt.Errorf("%w: %.1g multiplications at each step, at most %.1g are allowed: use Efron's",
			ErrExactWork, work, float64(maxExactWork))
	}
	return nil
}

// subsets sums over all ways in which d of the rows at risk could have ended:
// the elementary symmetric polynomial e_d of their risks r, with its first and
// second derivatives.
//
// Its blocks hold, for 0 … d ends among the rows seen so far, e_k scaled by
// θᵏ ∏ 1/(1 + θr): the chance that k of them end if row i ends with chance
// π = θr/(1 + θr) on its own. θ is chosen so that d are expected to, and
// nothing over- or underflows however large e_d is.
//
// Source: Gail, Lubin and Rubinstein, Biometrika 68 (1981) 703–707, for the
// recursion; the scaling is ours.
type subsets struct {
	q      int
	blocks []sums
	rows   []int // at risk
}

// term adds what moment m says to the log-likelihood, score and information.
func (e *subsets) term(s *design, m int, predictor, risk []float64, p *point) {
	at := &s.moments[m]
	e.gather(s, m)
	d := at.deaths
	if d == len(e.rows) {
		return // all at risk ended: it could not have been otherwise
	}
	theta := tilt(e.rows, risk, d)
	centre := make([]float64, e.q)
	log := -float64(d) * math.Log(theta)
	for _, k := range e.rows {
		odds := theta * risk[k]
		log += math.Log1p(odds)
		for j := range centre {
			centre[j] += odds / (1 + odds) * s.z[k*e.q+j] / float64(d)
		}
	}
	e.recur(s, d, theta, risk, centre)

	chance := e.blocks[d]
	for k := at.from; k < at.from+d; k++ {
		p.logLik += predictor[k]
		for j := range centre {
			p.score[j] += s.z[k*e.q+j] - centre[j]
		}
	}
	p.logLik -= log + math.Log(chance[0])
	first, second, i := chance.first(e.q), chance.second(e.q), 0
	for a := range first {
		mean := first[a] / chance[0]
		p.score[a] -= mean
		for b := range a + 1 {
			p.information[i] += second[i]/chance[0] - mean*first[b]/chance[0]
			i++
		}
	}
}

// gather lists the rows at risk at moment m.
func (e *subsets) gather(s *design, m int) {
	e.rows = e.rows[:0]
	for k := s.strata[s.moments[m].stratum].firstRow; k < s.moments[m].to; k++ {
		if int(s.leaves[k]) > m {
			e.rows = append(e.rows, k)
		}
	}
}

// tilt finds a θ for which ∑ θr/(1 + θr) is about d. Any θ gives the right
// answer; a good one keeps the chances away from 0.
func tilt(rows []int, risk []float64, d int) float64 {
	sum := 0.0
	for _, k := range rows {
		sum += risk[k]
	}
	n := float64(len(rows))
	log := math.Log(float64(d)) - math.Log(n-float64(d)) - math.Log(sum/n)
	for range 50 {
		theta, expected, slope := math.Exp(log), 0.0, 0.0
		for _, k := range rows {
			chance := theta * risk[k] / (1 + theta*risk[k])
			expected += chance
			slope += chance * (1 - chance)
		}
		missing := float64(d) - expected
		if math.Abs(missing) < 0.25 {
			break
		}
		log += max(-3, min(3, missing/slope))
	}
	return math.Exp(log)
}

// recur fills the blocks, one row after the other.
func (e *subsets) recur(s *design, d int, theta float64, risk, centre []float64) {
	for len(e.blocks) <= d {
		e.blocks = append(e.blocks, newSums(e.q))
	}
	for k := range d + 1 {
		clear(e.blocks[k])
	}
	e.blocks[0][0] = 1
	z := make([]float64, e.q)
	for i, row := range e.rows {
		odds := theta * risk[row]
		chance := odds / (1 + odds)
		for j := range z {
			z[j] = s.z[row*e.q+j] - centre[j]
		}
		// Fewer than d − (rows still to come) ends now can no longer become d.
		rest := len(e.rows) - i - 1
		for k := min(i+1, d); k >= max(0, d-rest); k-- {
			for x := range e.blocks[k] {
				e.blocks[k][x] *= 1 - chance
			}
			if k > 0 {
				e.blocks[k].addMoved(chance, e.blocks[k-1], z)
			}
		}
	}
}

// addMoved adds the sums of rows each moved by z, with a factor.
func (s sums) addMoved(factor float64, other sums, z []float64) {
	q := len(z)
	s[0] += factor * other[0]
	first, second, i := other.first(q), other.second(q), 0
	for a, za := range z {
		s[1+a] += factor * (first[a] + za*other[0])
		for b, zb := range z[:a+1] {
			s[1+q+i] += factor * (second[i] + za*first[b] + zb*first[a] + za*zb*other[0])
			i++
		}
	}
}
