package calc

import (
	"fmt"
	"io"
)

// WriteText prints a row for each group, and then for each group the times at
// which lives ended, or the times that were asked for.
func (r *KaplanMeierResult) WriteText(w io.Writer) error {
	var p page
	p.line("Kaplan–Meier, %s limits, %s", percent(r.Level), r.scale)
	p.line("")
	r.summary(&p)
	for _, c := range r.Groups {
		if c.Group != nil {
			p.line("%s: %s", r.groupColumns, *c.Group)
		}
		c.steps(&p, scaleKey(r.scale))
		if c.Band != nil {
			c.Band.write(&p, scaleKey(r.scale))
		}
	}
	r.means(&p)
	return p.to(w, r.Source)
}

func (r *KaplanMeierResult) summary(p *page) {
	words := 0
	head := []string{"Lives", "Ended"}
	if r.groupColumns != "" {
		words, head = 1, append([]string{r.groupColumns}, head...)
	}
	for _, share := range r.Groups[0].Quantiles.Shares {
		head = append(head, shareEnded(share), "limits")
	}
	var rows [][]string
	for _, c := range r.Groups {
		row := []string{fmt.Sprint(c.N), short(c.Events)}
		if c.Group != nil {
			row = append([]string{*c.Group}, row...)
		}
		q := c.Quantiles
		of := q.Limits[scaleKey(r.scale)]
		for i := range q.Shares {
			row = append(row, short(q.Estimate[i]), between(of.Lower[i], of.Upper[i]))
		}
		rows = append(rows, row)
	}
	p.table(words, head, rows)
}

// steps prints the curve.
func (c KaplanMeierCurve) steps(p *page, key string) {
	head := []string{"Time", "At risk", "Ended", "S", "SE", "lower", "upper"}
	var rows [][]string
	of := c.Limits[key]
	for i, ended := range c.Ended {
		if ended > 0 && len(c.SurvivalAt) == 0 {
			rows = append(rows, []string{short(c.Time[i]), short(c.AtRisk[i]), short(ended),
				short(c.Survival[i]), short(c.SE[i]), short(of.Lower[i]), short(of.Upper[i])})
		}
	}
	for _, s := range c.SurvivalAt {
		at := s.Limits[key]
		rows = append(rows, []string{short(s.Time), short(s.AtRisk), "", short(s.Survival), short(s.SE), short(at.Lower), short(at.Upper)})
	}
	if len(rows) == 0 {
		p.line("No life ended while they were watched.\n")
		return
	}
	p.table(0, head, rows)
}

// shareEnded heads the column of a quantile.
func shareEnded(share Number) string {
	if share == 0.5 {
		return "Median"
	}
	return percent(float64(share)) + " by"
}

func percent(share float64) string { return fmt.Sprintf("%.4g %%", 100*share) }
