package cox

import "container/heap"

// separates reports whether the likelihood rises for ever along a direction:
// at each moment, those whose lives ended are, along it, at or above all others
// at risk. With ties not treated exactly they must be level with one another
// too, since each sees the others in the risk set.
//
// The comparison leaves a margin of a millionth of the direction's range, for
// what other coefficients still move.
//
// Source: Bryson and Johnson, Technometrics 23 (1981) 381–383; Albert and
// Anderson, Biometrika 71 (1984) 1–10, for the like in logistic regression.
func (l *likelihood) separates(direction []float64) bool {
	along, _ := l.risks(direction)
	margin := 1e-6 * l.reach(direction)
	for g := range l.strata {
		if !l.separatesStratum(&l.strata[g], along, margin) {
			return false
		}
	}
	return true
}

func (l *likelihood) separatesStratum(g *stratum, along []float64, margin float64) bool {
	atRisk := &highest{along: along}
	for m := g.from; m < g.to; m++ {
		at := &l.moments[m]
		ended, others := at.from+at.deaths, at.to
		if l.ties == Exact { // those that end are compared with the rest only
			for k := ended; k < others; k++ {
				heap.Push(atRisk, k)
			}
		} else {
			for k := at.from; k < others; k++ {
				heap.Push(atRisk, k)
			}
		}
		for atRisk.Len() > 0 && int(l.leaves[atRisk.rows[0]]) <= m {
			heap.Pop(atRisk)
		}
		for k := at.from; k < ended; k++ {
			if atRisk.Len() > 0 && along[k] < along[atRisk.rows[0]]-margin {
				return false
			}
		}
		if l.ties == Exact {
			for k := at.from; k < ended; k++ {
				heap.Push(atRisk, k)
			}
		}
	}
	return true
}

// highest is a heap of rows with the one highest along a direction on top.
type highest struct {
	along []float64
	rows  []int
}

// Len counts the rows.
func (h *highest) Len() int { return len(h.rows) }

// Less puts the higher row first.
func (h *highest) Less(a, b int) bool { return h.along[h.rows[a]] > h.along[h.rows[b]] }

// Swap swaps two rows.
func (h *highest) Swap(a, b int) { h.rows[a], h.rows[b] = h.rows[b], h.rows[a] }

// Push appends a row.
func (h *highest) Push(row any) { h.rows = append(h.rows, row.(int)) }

// Pop removes the last row.
func (h *highest) Pop() any {
	last := h.rows[len(h.rows)-1]
	h.rows = h.rows[:len(h.rows)-1]
	return last
}
