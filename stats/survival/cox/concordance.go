package cox

import (
	"cmp"
	"math"
	"slices"
)

// Concordance says how well the model orders lives: among pairs of which one
// is known to have outlived the other, the share in which the one of higher
// hazard ended first. Counts are of pairs, each with the product of its rows'
// weights.
type Concordance struct {
	C  float64 // (Concordant + TiedRisk/2) / (Concordant + Discordant + TiedRisk), 0.5 is chance
	SE float64 // by clusters where there are any

	Concordant, Discordant float64
	TiedRisk               float64 // of the same hazard
	TiedTime, TiedBoth     float64 // ended at the same time, with other or the same hazard: in none of the above
}

// Concordance counts, within strata, the pairs of a row whose life ended at t
// and one that was at risk then and went on, or was last seen at t. Hazards are
// those the rows had. C and SE are NaN where there is no such pair. SE is by
// the infinitesimal jackknife: with D the derivative of C by the weight of a
// row, times that weight,
//
//	SE² = ∑ D²,  D first summed within clusters
//
// It takes n log n steps.
//
// Source: Harrell et al., J. Am. Med. Assoc. 247 (1982) 2543–2546; Therneau and
// Watson, The concordance statistic and the Cox model, Mayo Clinic Technical
// Report 85 (2015) (from memory), for the standard error.
func (m *Model) Concordance() Concordance {
	s := m.design
	predictor, _ := s.risks(m.climb.end.beta)
	p := &pairs{design: s, won: make([]float64, len(s.row)), all: make([]float64, len(s.row))}
	for g := range s.strata {
		p.rank(&s.strata[g], predictor)
		p.asEnded(&s.strata[g])
		p.asSurvivor(&s.strata[g])
	}
	c := p.Concordance
	comparable := c.Concordant + c.Discordant + c.TiedRisk
	c.C, c.SE = math.NaN(), math.NaN()
	if comparable == 0 {
		return c
	}
	c.C = (c.Concordant + c.TiedRisk/2) / comparable
	influence := make([]float64, len(s.row))
	for k, w := range s.weight {
		influence[k] = w * (p.won[k] - c.C*p.all[k]) / comparable
	}
	if m.data.Cluster != nil {
		member, clusters := m.clusters()
		influence = summed(influence, member, clusters, 1)
	}
	square := 0.0
	for _, d := range influence {
		square += d * d
	}
	c.SE = math.Sqrt(square)
	return c
}

// pairs counts. For each row, won and all are the derivatives by its weight of
// Concordant + TiedRisk/2 and of all comparable pairs.
type pairs struct {
	*design
	Concordance
	won, all []float64
	place    []int // of each row's hazard among those of its stratum, from 1 up
	places   int
}

// rank fills place for the rows of a stratum.
func (p *pairs) rank(g *stratum, predictor []float64) {
	if p.place == nil {
		p.place = make([]int, len(p.row))
	}
	order := make([]int, 0, g.afterRow-g.firstRow)
	for k := g.firstRow; k < g.afterRow; k++ {
		order = append(order, k)
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Compare(predictor[a], predictor[b])
	})
	p.places = 0
	for i, k := range order {
		if i == 0 || predictor[k] != predictor[order[i-1]] {
			p.places++
		}
		p.place[k] = p.places
	}
}

// asEnded meets each row that ended with those who outlived it, going back in
// time.
func (p *pairs) asEnded(g *stratum) {
	atRisk := make(tally, p.places+1)
	for m := g.from; m < g.to; m++ {
		at := &p.moments[m]
		ended := at.from + at.deaths
		for k := ended; k < at.to; k++ {
			atRisk.add(p.place[k], p.weight[k])
		}
		for _, k := range p.gone(m) {
			atRisk.add(p.place[k], -p.weight[k])
		}
		for k := at.from; k < ended; k++ {
			below, same, above := atRisk.around(p.place[k])
			p.Concordant += p.weight[k] * below
			p.Discordant += p.weight[k] * above
			p.TiedRisk += p.weight[k] * same
			p.won[k] += below + same/2
			p.all[k] += below + same + above
		}
		p.tied(at)
		for k := at.from; k < ended; k++ {
			atRisk.add(p.place[k], p.weight[k])
		}
	}
}

// tied counts the pairs that ended together.
func (p *pairs) tied(at *moment) {
	byPlace := map[int]float64{}
	before := 0.0
	for k := at.from; k < at.from+at.deaths; k++ {
		same := byPlace[p.place[k]]
		p.TiedBoth += p.weight[k] * same
		p.TiedTime += p.weight[k] * (before - same)
		byPlace[p.place[k]] += p.weight[k]
		before += p.weight[k]
	}
}

// asSurvivor meets each row with those that ended while it was at risk, going
// forward in time: those up to its stop less those up to its start.
func (p *pairs) asSurvivor(g *stratum) {
	ended := make(tally, p.places+1)
	count := func(k int, sign float64) {
		below, same, above := ended.around(p.place[k])
		p.won[k] += sign * (above + same/2)
		p.all[k] += sign * (below + same + above)
	}
	for m := g.to - 1; m >= g.from; m-- {
		at := &p.moments[m]
		for k := at.from; k < at.from+at.deaths; k++ {
			count(k, 1)
		}
		for k := at.from; k < at.from+at.deaths; k++ {
			ended.add(p.place[k], p.weight[k])
		}
		for k := at.from + at.deaths; k < at.to; k++ {
			count(k, 1)
		}
		for _, k := range p.gone(m) {
			count(int(k), -1)
		}
	}
}

// tally keeps weights by place such that sums up to a place take few steps (a
// binary indexed tree: Fenwick, Softw. Pract. Exp. 24 (1994) 327–336). Places
// count from 1 and the sum of all is at 0.
type tally []float64

func (t tally) add(place int, weight float64) {
	t[0] += weight
	for ; place < len(t); place += place & -place {
		t[place] += weight
	}
}

// around returns the weights below a place, at it and above it.
func (t tally) around(place int) (below, same, above float64) {
	below = t.upTo(place - 1)
	through := t.upTo(place)
	return below, through - below, t[0] - through
}

func (t tally) upTo(place int) (sum float64) {
	for ; place > 0; place &= place - 1 {
		sum += t[place]
	}
	return sum
}
