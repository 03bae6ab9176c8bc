package web

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"beadspan/study"
)

// ruleEffect is what another protocol would make of the records.
type ruleEffect struct {
	Spans   int // changed
	Of      int
	Changed []study.SpanChange // some of them
	Moves   []standingMove
}

// standingMove is how many patches would stand otherwise.
type standingMove struct {
	From, To study.Standing
	Patches  int
}

// mostChangedSpans is how many spans the effect names one by one.
const mostChangedSpans = 50

// ruleEffectFigure finds out what a protocol would change.
func ruleEffectFigure(to study.Protocol) figure[*ruleEffect] {
	name := fmt.Sprintf("effect of %s %g %d %s", to.Metric, to.Threshold, to.Confirm, to.Estimand)
	return figure[*ruleEffect]{name, func(ctx context.Context, in figureInput) (*ruleEffect, error) {
		changed, of := in.fleet.SpansChanged(in.study.Protocol, to)
		e := &ruleEffect{Spans: len(changed), Of: of, Moves: movesOf(changed)}
		e.Changed = slices.Clone(changed[:min(len(changed), mostChangedSpans)])
		return e, ctx.Err()
	}}
}

// movesOf counts the patches that would stand otherwise, the most first.
func movesOf(changed []study.SpanChange) []standingMove {
	n := map[standingMove]int{}
	for _, c := range changed {
		if c.Before.Standing != c.After.Standing {
			n[standingMove{From: c.Before.Standing, To: c.After.Standing}]++
		}
	}
	var moves []standingMove
	for move, patches := range n {
		move.Patches = patches
		moves = append(moves, move)
	}
	slices.SortFunc(moves, func(a, b standingMove) int {
		return cmp.Or(cmp.Compare(b.Patches, a.Patches), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	return moves
}
