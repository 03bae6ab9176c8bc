package reports

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"beadspan/stats/survival"
)

// Comparison tests whether groups of patches last equally long.
type Comparison struct {
	Of        string   // what is compared: "coatings", "climates of C-12"
	Groups    []string // the ones compared
	Test      string
	ChiSquare float64
	DF        int
	P         float64 // counts vehicles: patches of one may be as alike as they please
	Notes     []string
	// Relabellings is how many random ways to deal the groups' names to vehicles
	// were asked for; 0 where P is that for many vehicles.
	Relabellings int
}

// compare tests the coatings of a table split by coating, the climates of one
// split by climate, and the climates within each coating of one split by both.
func compare(ctx context.Context, groups []Group, members map[Group][]member, o LifeOptions) ([]Comparison, error) {
	by := o.By
	byCoating, byClimate := slices.Contains(by, ByCoating), slices.Contains(by, ByClimate)
	if !byCoating && !byClimate {
		return nil, nil
	}
	var comparisons []Comparison
	for len(groups) > 0 {
		n := len(groups)
		c := Comparison{Of: "coatings"}
		if byClimate {
			c.Of = "climates"
		}
		if byCoating && byClimate {
			first := groups[0].Coating
			n = 1 + slices.IndexFunc(append(slices.Clone(groups[1:]), Group{}), func(g Group) bool { return g.Coating != first })
			c.Of = "climates of " + first
		}
		compared, err := c.test(ctx, groups[:n], members, o.Seed)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Of, err)
		}
		if compared {
			comparisons = append(comparisons, c)
		}
		groups = groups[n:]
	}
	return comparisons, nil
}

const (
	// relabellings is how many random ways to deal the groups' names to vehicles
	// are tried where there are too many to go through them all.
	relabellings = 9999
	// manyVehicles is from where the p-value for many vehicles is as good, and
	// sooner found.
	manyVehicles = 1000
)

// test reports whether there was anything to compare.
func (c *Comparison) test(ctx context.Context, groups []Group, members map[Group][]member, seed uint64) (compared bool, err error) {
	var spans [][]survival.Span
	spent, fleet := 0, 0
	for _, g := range groups {
		s := newSample(members[g])
		if len(s.spans) == 0 {
			continue
		}
		spans = append(spans, s.spans)
		spent += s.spent
		fleet += s.vehicles
		c.Groups = append(c.Groups, g.String())
	}
	if len(spans) < 2 || spent < leastSpent {
		return false, nil
	}
	c.Test = "log-rank test for interval-censored lives (Sun’s scores)"
	how := survival.Relabelling{Scores: survival.Sun, Replicates: relabellings, Seed: seed}
	if fleet > manyVehicles {
		how.Replicates = 0
	}
	result, err := survival.ClusterTest(ctx, spans, how)
	var late *survival.SpanError
	var unsettled *survival.ConvergenceError
	switch {
	case errors.As(err, &late), errors.As(err, &unsettled), errors.Is(err, survival.ErrIncomparable):
		return false, nil // the rows say what is known; a test would say less
	case err != nil:
		return false, err
	}
	c.ChiSquare, c.DF, c.P, c.Relabellings = result.ChiSq, result.DF, result.P, how.Replicates
	c.noteLayout(result)
	if spent < 2*fewSpent {
		c.note("rests on %d spent patches in all", spent)
	}
	return true, nil
}

// noteLayout says which vehicles the test compared, and whether they are too few
// to show anything.
func (c *Comparison) noteLayout(r *survival.ClusterResult) {
	if r.SharedClusters > 0 {
		c.note("compares patches within the %s with more than one of these", vehicles(r.SharedClusters))
	}
	if r.WholeClusters > 0 {
		c.note("compares %s with one of these each", vehicles(r.WholeClusters))
	}
	if r.IdleClusters > 0 {
		c.note("leaves aside %s with nothing to compare with", vehicles(r.IdleClusters))
	}
	if r.LeastP >= 0.05 {
		c.note("could not have shown any difference, however large, with so few vehicles: the smallest p they can give is %.2g", r.LeastP)
	}
}

func (c *Comparison) note(format string, args ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, args...))
}

// Sentence tells the outcome.
func (c Comparison) Sentence() string {
	verdict := "differ by more than chance would make likely"
	if c.P >= 0.05 {
		verdict = "are not shown to differ; that does not show that they are alike"
	}
	sentence := fmt.Sprintf("The %s %s (%s: χ² = %.1f on %s, %s).", c.Of, verdict, c.Test, c.ChiSquare,
		count(c.DF, "degree of freedom", "degrees of freedom"), pSaid(c.P))
	for _, note := range c.Notes {
		sentence += " This " + note + "."
	}
	return sentence
}
