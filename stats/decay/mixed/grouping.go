package mixed

import (
	"cmp"
	"fmt"
	"slices"
)

// label names an inner group by its numbers.
type label struct{ outer, inner int }

// block is a stretch of rows, or of inner groups, that belong together.
type block struct{ from, to int }

func (b block) len() int { return b.to - b.from }

// grouping puts rows in an order in which each group is one block.
type grouping struct {
	order  []int   // places of the rows as they were given
	labels []label // of each inner group, ascending
	inner  []block // rows of each inner group
	outer  []block // inner groups of each outer group
	rowsOf []block // rows of each outer group
}

// groupRows sorts n rows by their labels. Rows of one group keep their order.
func groupRows(n int, labelOf func(i int) label) grouping {
	g := grouping{order: make([]int, n)}
	for i := range g.order {
		g.order[i] = i
	}
	slices.SortStableFunc(g.order, func(i, j int) int {
		a, b := labelOf(i), labelOf(j)
		return cmp.Or(cmp.Compare(a.outer, b.outer), cmp.Compare(a.inner, b.inner))
	})
	for at, i := range g.order {
		last := len(g.labels) - 1
		switch now := labelOf(i); {
		case last < 0 || g.labels[last].outer != now.outer:
			g.outer = append(g.outer, block{len(g.inner), len(g.inner)})
			g.rowsOf = append(g.rowsOf, block{at, at})
			fallthrough
		case g.labels[last].inner != now.inner:
			g.labels = append(g.labels, now)
			g.inner = append(g.inner, block{at, at})
			g.outer[len(g.outer)-1].to++
		}
		g.inner[len(g.inner)-1].to++
		g.rowsOf[len(g.rowsOf)-1].to++
	}
	return g
}

// checkSize returns an error if the groups cannot tell apart the variances of
// q1 outer and q2 inner random effects, an error, and p fixed effects.
func (g grouping) checkSize(p, q1, q2 int) error {
	n := len(g.order)
	if n <= p {
		return fmt.Errorf("%d readings for %d fixed effects: %w", n, p, ErrTooFew)
	}
	if len(g.outer) < 2 {
		return fmt.Errorf("%d group, 2 are needed to see how groups differ: %w", len(g.outer), ErrTooFew)
	}
	if q1 > 0 && q2 > 0 && len(g.inner) == len(g.outer) {
		return fmt.Errorf("each outer group has one inner group, so put all random effects on the outer level: %w", ErrNotIdentified)
	}
	blocks, q := g.inner, q2
	if q2 == 0 {
		blocks, q = g.rowsOf, q1
	}
	spare := func(b block) bool { return b.len() > q }
	if !slices.ContainsFunc(blocks, spare) {
		return fmt.Errorf("no group has more than its %d random effects in readings, which leaves none for the error: %w", q, ErrTooFew)
	}
	return nil
}
