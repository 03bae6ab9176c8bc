package cox

import (
	"cmp"
	"math"
	"slices"
)

// transformed returns g at each moment, moved and scaled to mean 0 and spread 1
// over ends: the test does not see that, and loses no digits.
func (s *design) transformed(transform Transform) []float64 {
	g := make([]float64, len(s.moments))
	switch transform {
	case KM:
		s.fillKaplanMeier(g)
	case Rank:
		s.fillRanks(g)
	default:
		for i := range g {
			g[i] = s.moments[i].time
		}
	}
	mean, spread, n := 0.0, 0.0, 0.0
	for i, at := range s.moments {
		if at.deaths > 0 {
			n += at.weight
			mean += (g[i] - mean) * at.weight / n
		}
	}
	for i, at := range s.moments {
		spread += at.weight / n * (g[i] - mean) * (g[i] - mean)
	}
	for i := range g {
		if g[i] -= mean; spread > 0 {
			g[i] /= math.Sqrt(spread)
		}
	}
	return g
}

// fillKaplanMeier writes 1 − S(t−), strata taken together, rows counted once
// each whatever their weights.
func (s *design) fillKaplanMeier(g []float64) {
	order, late := s.byTime(), s.lateStarts()
	stopped, started, survival := 0, 0, 1.0
	for from := 0; from < len(order); {
		t := s.moments[order[from]].time
		for started < len(late) && late[started] < t {
			started++
		}
		atRisk := len(s.row) - stopped - (len(late) - started)
		deaths, to := 0, from
		for ; to < len(order) && s.moments[order[to]].time == t; to++ {
			m := &s.moments[order[to]]
			g[order[to]] = 1 - survival
			deaths += m.deaths
			stopped += m.to - m.from
		}
		if deaths > 0 {
			survival *= 1 - float64(deaths)/float64(atRisk)
		}
		from = to
	}
}

// fillRanks writes the mean rank of each moment's time among all rows' stops.
func (s *design) fillRanks(g []float64) {
	before := 0
	order := s.byTime()
	for from := 0; from < len(order); {
		to, rows := from, 0
		for ; to < len(order) && s.moments[order[to]].time == s.moments[order[from]].time; to++ {
			rows += s.moments[order[to]].to - s.moments[order[to]].from
		}
		for _, m := range order[from:to] {
			g[m] = float64(before) + float64(rows+1)/2
		}
		before += rows
		from = to
	}
}

// byTime lists the moments of all strata by time.
func (s *design) byTime() []int {
	order := make([]int, len(s.moments))
	for m := range order {
		order[m] = m
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(s.moments[a].time, s.moments[b].time)
	})
	return order
}

// lateStarts lists, sorted, the starts of rows that were not watched from before
// all times.
func (s *design) lateStarts() []float64 {
	var late []float64
	for _, t := range s.start {
		if !math.IsInf(t, -1) {
			late = append(late, t)
		}
	}
	slices.Sort(late)
	return late
}
