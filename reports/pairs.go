package reports

import (
	"context"
	"errors"
	"fmt"
	"math"

	"beadspan/stats/survival"
	"beadspan/study"
)

// Pairs compares each coating with each other.
type Pairs struct {
	Level float64
	Rows  []PairRow
	Notes []string
}

// PairRow compares the lives of two coatings.
type PairRow struct {
	A, B string
	// Shared vehicles carry both, Whole ones one of the two; nil where the two
	// can't be compared.
	Shared, Whole *int
	// P counts vehicles, and Adjusted is P by Holm's method for all pairs that
	// could be compared; NaN where the two can't be.
	P, Adjusted float64
	// Longer is the one that lasts longer where Adjusted is below 1 − Level;
	// empty where the two aren't shown to differ.
	Longer string
}

// NewPairs compares the coated patches of each coating with those of each
// other. It is the test of Life's comparisons on the two coatings alone, with as
// many random relabellings.
func NewPairs(ctx context.Context, followed []study.Followed, level float64, seed uint64) (*Pairs, error) {
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, level)
	}
	groups, members := grouped(followed, []By{ByCoating})
	samples := make([]sample, len(groups))
	for i, g := range groups {
		samples[i] = newSample(members[g])
	}
	found := map[[2]int]*survival.ClusterResult{}
	pairs, err := survival.Pairwise(len(groups), func(a, b int) (chiSq, p float64, err error) {
		r, err := comparePair(ctx, samples[a], samples[b], seed)
		if err != nil {
			return 0, 0, err
		}
		found[[2]int{a, b}] = r
		return r.ChiSq, r.P, nil
	})
	if err != nil {
		return nil, fmt.Errorf("compare pairs of coatings: %w", err)
	}
	list := &Pairs{Level: level}
	for _, pair := range pairs {
		row := PairRow{A: groups[pair.A].Coating, B: groups[pair.B].Coating, P: pair.P, Adjusted: pair.Adjusted}
		if r := found[[2]int{pair.A, pair.B}]; r != nil {
			row.Shared, row.Whole = &r.SharedClusters, &r.WholeClusters
			if row.Adjusted < 1-level {
				row.Longer = row.A
				if r.Sums[0] > r.Sums[1] { // A's are the shorter lives
					row.Longer = row.B
				}
			}
		}
		list.Rows = append(list.Rows, row)
	}
	list.note()
	return list, nil
}

// comparePair tests two samples. What keeps them from being compared is
// survival.ErrIncomparable.
func comparePair(ctx context.Context, a, b sample, seed uint64) (*survival.ClusterResult, error) {
	if len(a.spans) == 0 || len(b.spans) == 0 || a.spent+b.spent < leastSpent {
		return nil, survival.ErrIncomparable
	}
	how := survival.Relabelling{Scores: survival.Sun, Replicates: relabellings, Seed: seed}
	if a.vehicles+b.vehicles > manyVehicles {
		how.Replicates = 0
	}
	r, err := survival.ClusterTest(ctx, [][]survival.Span{a.spans, b.spans}, how)
	var late *survival.SpanError
	var unsettled *survival.ConvergenceError
	if errors.As(err, &late) || errors.As(err, &unsettled) {
		return nil, survival.ErrIncomparable
	}
	return r, err
}

func (p *Pairs) note() {
	if len(p.Rows) == 0 {
		return
	}
	p.Notes = []string{
		"Each pair is tested by the log-rank test for interval-censored lives (Sun’s scores), on the two coatings alone. P-values count vehicles, and those adjusted by Holm’s method hold for all pairs together.",
		"Not shown to differ does not show that two are alike.",
	}
}

// Table is the comparison for people.
func (p *Pairs) Table() Table {
	t := Table{Caption: "Coatings in pairs", Head: []string{"Pair", "Vehicles with both", "with one", "p", "p adjusted", "Lasts longer"}}
	for _, row := range p.Rows {
		longer := row.Longer
		switch {
		case math.IsNaN(row.Adjusted):
			longer = "too little is known to compare"
		case longer == "":
			longer = "not shown to differ"
		}
		t.add(row.A+" and "+row.B, orDash(row.Shared), orDash(row.Whole), pWords(row.P), pWords(row.Adjusted), longer)
	}
	return t
}

func orDash(n *int) string {
	if n == nil {
		return "–"
	}
	return number(*n)
}
