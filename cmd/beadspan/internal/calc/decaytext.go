package calc

import (
	"fmt"
	"io"
)

// WriteText prints a row for each group where there are several, and then the
// curve of each.
func (r *DecayResult) WriteText(w io.Writer) error {
	var p page
	if len(r.Groups) > 1 {
		r.summary(&p)
	}
	for _, c := range r.Groups {
		if c.Group != nil {
			p.line("%s: %s", r.groupColumns, *c.Group)
		}
		c.write(&p, r.Level)
	}
	p.explainDagger()
	return p.to(w, r.Source)
}

func (r *DecayResult) summary(p *page) {
	head := []string{r.groupColumns, "Curve", "readings", "residual SD"}
	for _, threshold := range r.thresholds {
		head = append(head, "at "+short(Number(threshold)), "limits")
	}
	var rows [][]string
	for _, c := range r.Groups {
		row := []string{*c.Group, c.curve(), fmt.Sprint(c.N), short(c.Optimum.ResidualSD)}
		for _, x := range c.Crossings {
			row = append(row, x.when(), between(x.Lower, x.Upper))
		}
		rows = append(rows, row)
	}
	p.table(2, head, rows)
}

// curve says what was fitted.
func (c *DecayCurve) curve() string {
	if c.Falls != nil && !*c.Falls {
		return "no fall"
	}
	if c.Model == nil {
		return "of any shape"
	}
	return string(*c.Model)
}

func (c *DecayCurve) write(p *page, level float64) {
	words := counted(c.N, "reading", "readings")
	if c.Clusters > 0 {
		words += fmt.Sprintf(" of %d clusters", c.Clusters)
	}
	if c.Loss != nil {
		words += fmt.Sprintf(", robust by %s's loss", *c.Loss)
	}
	p.line("Falling curve, %s: %s, %s limits", c.curve(), words, percent(level))
	p.line("")
	var rows [][]string
	o := c.Optimum
	for j, name := range o.Names {
		rows = append(rows, []string{name, short(o.Parameters[j]), short(o.SD[j]), short(o.Limits.Lower[j]), short(o.Limits.Upper[j]), "", ""})
		if o.Profile != nil {
			rows = append(rows, profileRow(o.Profile.Lower[j], o.Profile.Upper[j]))
		}
	}
	for _, at := range c.Predictions {
		rows = append(rows, at.row())
	}
	for _, x := range c.Crossings {
		rows = append(rows, append(x.row(), "", ""))
		if x.Profile != nil {
			rows = append(rows, profileRow(x.Profile.Lower, x.Profile.Upper))
		}
	}
	p.table(1, []string{"", "estimate", "SE", "lower", "upper", "new from", "to"}, rows)
	p.line("residual SD %s on %d df, log-likelihood %s, AICc %s\n", short(o.ResidualSD), o.DF, short(c.LogLik), short(c.AICc))
	c.writeChoice(p)
	c.writeOdd(p)
	c.writeChecks(p)
	for _, note := range c.Notes {
		p.line("* %s", note)
	}
	if len(c.Notes) > 0 {
		p.line("")
	}
}

func profileRow(lower, upper Number) []string {
	return []string{"  by its profile", "", "", short(lower), short(upper), "", ""}
}
