package reports

import (
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
	P         float64 // takes patches as independent: indicative only
	Notes     []string
}

// compare tests the coatings of a table split by coating, the climates of one
// split by climate, and the climates within each coating of one split by both.
func compare(groups []Group, members map[Group][]member, by []By) ([]Comparison, error) {
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
		compared, err := c.test(groups[:n], members)
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

// test reports whether there was anything to compare.
func (c *Comparison) test(groups []Group, members map[Group][]member) (compared bool, err error) {
	var spans [][]survival.Span
	spent := 0
	for _, g := range groups {
		s := newSample(members[g])
		if len(s.spans) == 0 {
			continue
		}
		spans = append(spans, s.spans)
		spent += s.spent
		c.Groups = append(c.Groups, g.String())
	}
	if len(spans) < 2 || spent < leastSpent {
		return false, nil
	}
	c.Test = "log-rank test for interval-censored lives (Sun’s scores)"
	result, err := survival.ScoreTest(spans, survival.Sun)
	var late *survival.SpanError
	var unsettled *survival.ConvergenceError
	switch {
	case errors.As(err, &late), errors.As(err, &unsettled), errors.Is(err, survival.ErrIncomparable):
		return false, nil // the rows say what is known; a test would say less
	case err != nil:
		return false, err
	}
	c.ChiSquare, c.DF, c.P = result.ChiSq, result.DF, result.P
	if spent < 2*fewSpent {
		c.Notes = append(c.Notes, fmt.Sprintf("rests on %d spent patches in all", spent))
	}
	return true, nil
}

// Sentence tells the outcome.
func (c Comparison) Sentence() string {
	p := fmt.Sprintf("p = %.2g", c.P)
	switch {
	case c.P < 0.001:
		p = "p < 0.001"
	case c.P > 0.99:
		p = "p > 0.99"
	}
	verdict := "differ by more than chance would make likely"
	if c.P >= 0.05 {
		verdict = "are not shown to differ; that does not show that they are alike"
	}
	sentence := fmt.Sprintf("The %s %s (%s: χ² = %.1f on %s, %s).", c.Of, verdict, c.Test, c.ChiSquare,
		count(c.DF, "degree of freedom", "degrees of freedom"), p)
	for _, note := range c.Notes {
		sentence += " This " + note + "."
	}
	return sentence
}
