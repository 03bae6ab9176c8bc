package calc

import (
	"fmt"
	"io"
	"math"
)

// WriteText prints a row for each group, and then for each group the intervals
// that hold mass, or the times that were asked for.
func (r *TurnbullResult) WriteText(w io.Writer) error {
	var p page
	p.line("Turnbull's estimate")
	if r.Replicates > 0 {
		p.line("Limits: %s, by %d resamples of clusters, seed %d", percent(r.Level), r.Replicates, r.Seed)
	}
	p.line("")
	r.summary(&p)
	for _, c := range r.Groups {
		if c.Group != nil {
			p.line("%s: %s", r.groupColumns, *c.Group)
		}
		c.steps(&p)
	}
	return p.to(w, r.Source)
}

func (r *TurnbullResult) summary(p *page) {
	words := 0
	head := []string{"Lives", "Clusters", "log-likelihood"}
	if r.groupColumns != "" {
		words, head = 1, append([]string{r.groupColumns}, head...)
	}
	for _, q := range r.Groups[0].Quantiles {
		head = append(head, shareEnded(q.Share), "limits")
	}
	var rows [][]string
	for _, c := range r.Groups {
		row := []string{short(c.N), fmt.Sprint(c.Clusters), short(c.LogLik)}
		if c.Group != nil {
			row = append([]string{*c.Group}, row...)
		}
		for _, q := range c.Quantiles {
			row = append(row, interval(q.Left, q.Right, q.Left == q.Right), between(q.Limits.Lower, q.Limits.Upper))
		}
		rows = append(rows, row)
	}
	p.table(words, head, rows)
}

// steps prints the curve.
func (c TurnbullCurve) steps(p *page) {
	var rows [][]string
	if len(c.SurvivalAt) > 0 {
		for _, s := range c.SurvivalAt {
			known := short(s.Survival)
			if !s.Determined {
				known = between(s.Lower, s.Upper)
			}
			rows = append(rows, []string{short(s.Time), known, short(s.Limits.Lower), short(s.Limits.Upper)})
		}
		p.table(0, []string{"Time", "S", "lower", "upper"}, rows)
		return
	}
	for i, mass := range c.Mass {
		if mass > leastShare {
			v := c.Intervals
			rows = append(rows, []string{interval(v.Left[i], v.Right[i], v.LeftClosed[i]), short(mass), short(c.After[i])})
		}
	}
	p.table(0, []string{"Ends within", "share", "S after"}, rows)
}

// leastShare is the share of lives below which an interval isn't worth a line.
const leastShare = 1e-9

// interval writes (left, right], a point, or what has no end.
func interval(left, right Number, point bool) string {
	switch {
	case point:
		return short(right)
	case math.IsInf(float64(right), 1):
		return "after " + short(left)
	}
	return fmt.Sprintf("(%s, %s]", short(left), short(right))
}
