package calc

import (
	"errors"
	"math"

	"beadspan/stats/survival"
)

// comparison is a test that all groups are alike, with those against an order
// of the groups and between each two of them.
type comparison struct {
	chiSquare
	Trend *trend `json:"trend"`
	pairs
}

// noComparison is one that the data do not allow.
func noComparison() comparison { return comparison{noTest(), nil, newPairs(nil, nil)} }

// trend tests against groups that rise or fall in order.
type trend struct {
	Scores   Numbers `json:"scores"`
	Sum      Number  `json:"u"`
	Variance Number  `json:"variance"`
	Z        Number  `json:"z"`
	chiSquare
}

// pair compares two groups.
type pair struct {
	A     string `json:"a"`
	B     string `json:"b"`
	ChiSq Number `json:"chisq"`
	P     Number `json:"p_value"`
}

// pairs are the comparisons of each two groups.
type pairs struct {
	Pairs []pair  `json:"pairs"`
	Holm  Numbers `json:"p_holm"`
}

// further adds the tests beside the one of all groups that the options ask for.
func (c *comparison) further(o CompareOptions, names []string, order func([]float64) (*survival.Trend, error),
	each func() ([]survival.Pair, error)) error {
	if o.Trend != nil {
		t, err := order(o.Trend)
		if err != nil {
			return err
		}
		c.Trend = newTrend(t, o.Trend)
	}
	return c.pairs.fill(o, names, each)
}

// newTrend gives the trend the sign of its sum: above 0, groups of higher
// scores fail earlier.
func newTrend(t *survival.Trend, scores []float64) *trend {
	return &trend{plain(scores), Number(t.Sum), Number(t.Variance), Number(t.Sum / math.Sqrt(t.Variance)),
		chiSquare{Number(t.ChiSq), 1, Number(t.P)}}
}

// fill compares each two groups if the options ask for it.
func (p *pairs) fill(o CompareOptions, names []string, each func() ([]survival.Pair, error)) error {
	if !o.Pairs {
		return nil
	}
	found, err := each()
	if err != nil {
		return err
	}
	*p = newPairs(found, names)
	return nil
}

func newPairs(found []survival.Pair, names []string) pairs {
	p := pairs{[]pair{}, Numbers{}}
	for _, two := range found {
		p.Pairs = append(p.Pairs, pair{names[two.A], names[two.B], Number(two.ChiSq), Number(two.P)})
		p.Holm = append(p.Holm, Number(two.Adjusted))
	}
	return p
}

// compared sorts what a comparison of the groups came to: open, with a note, if
// the groups can't be compared, which is a finding where there are two or more.
func (d *Data) compared(s *Source, err error) (open bool, _ error) {
	if errors.Is(err, survival.ErrIncomparable) && len(d.Groups.Names) > 1 {
		s.Notes = append(s.Notes, err.Error())
		return true, nil
	}
	return err != nil, d.blame(err)
}
