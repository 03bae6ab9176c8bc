package calc

import (
	"fmt"
	"io"
	"strings"
)

// mostGroups is how many groups are printed; JSON has all.
const mostGroups = 40

// WriteText prints the fixed effects, how groups differ, the curves that were
// asked for, and the groups.
func (r *MixedResult) WriteText(w io.Writer) error {
	var p page
	p.line("Mixed model, %s, by %s: %s, %s", r.Model, r.how(), counted(r.N, "reading", "readings"), r.groupsText())
	p.line("")
	var rows [][]string
	for j, name := range r.FixedNames {
		rows = append(rows, []string{name, short(r.Fixed[j]), short(r.SE[j]), short(r.Limits.Lower[j]), short(r.Limits.Upper[j]), probability(r.P[j])})
	}
	p.table(1, []string{"Effect", "estimate", "SE", "lower", "upper", "p"}, rows)
	r.spreads(&p)
	p.line("log-likelihood %s, AIC %s, BIC %s\n", short(r.LogLik), short(r.AIC), short(r.BIC))
	for _, c := range r.Curves {
		c.write(&p, r.Level)
	}
	r.groups(&p)
	p.explainDagger()
	return p.to(w, r.Source)
}

// how says what the estimates maximise.
func (r *MixedResult) how() string {
	switch {
	case r.Nodes == nil:
		return string(r.Criterion)
	case *r.Nodes == 0:
		return "ML along the curves' tangents"
	case *r.Nodes == 1:
		return "ML with Laplace's approximation"
	}
	return fmt.Sprintf("ML with %d nodes", *r.Nodes)
}

func (r *MixedResult) groupsText() string {
	words := fmt.Sprintf("%s by %s", counted(r.Groups, "group", "groups"), r.groupColumns[0])
	if r.InnerGroups != nil {
		words += fmt.Sprintf(", %d by %s within", *r.InnerGroups, strings.Join(r.groupColumns[1:], ", "))
	}
	return words
}

// spreads prints the standard deviations.
func (r *MixedResult) spreads(p *page) {
	var rows [][]string
	add := func(level string, s mixedSpread) {
		for j, name := range s.Names {
			correlation := ""
			if j == 1 && s.Correlation == s.Correlation {
				correlation = short(s.Correlation)
			}
			rows = append(rows, []string{name, "between " + level, short(s.SD[j]), correlation})
		}
	}
	add(r.groupColumns[0], r.mixedSpread)
	if r.Inner != nil {
		add(strings.Join(r.groupColumns[1:], ", ")+" within", *r.Inner)
	}
	rows = append(rows, []string{"value", "between readings", short(r.ResidualSD), ""})
	p.table(2, []string{"Effect", "", "SD", "correlation"}, rows)
}

func (c mixedCurve) write(p *page, level float64) {
	words := "The typical curve"
	if given := valuesText(c.X); given != "" {
		words += " for " + given
	}
	p.line("%s, %s limits", words, percent(level))
	p.table(1, []string{"", "estimate", "SE", "lower", "upper", "new from", "to"}, c.outlook.rows())
	for _, drawn := range c.Passages {
		var rows [][]string
		for _, q := range drawn.Quantiles {
			rows = append(rows, []string{shareEnded(q.Share), short(q.Time), ""})
		}
		for _, by := range drawn.Shares {
			rows = append(rows, []string{"Share by " + short(by.Time), short(by.Share), short(by.SE)})
		}
		if len(rows) > 0 {
			p.line("When groups come down to %s, of %d drawn", short(drawn.Threshold), drawn.Draws)
			p.table(1, []string{"", "estimate", "SE of drawing"}, rows)
		}
	}
}

// rows are those of a table of a curve.
func (o *outlook) rows() (rows [][]string) {
	for _, parameter := range o.Parameters {
		rows = append(rows, []string{parameter.Name, short(parameter.Value), short(parameter.SE), "", "", "", ""})
	}
	for _, at := range o.Predictions {
		rows = append(rows, at.row())
	}
	for _, x := range o.Crossings {
		rows = append(rows, append(x.row(), "", ""))
	}
	return rows
}

// groups prints what is known of each group.
func (r *MixedResult) groups(p *page) {
	head := append([]string{}, r.groupColumns...)
	words := min(2, len(head))
	head = append(head[:words], "readings")
	head = append(head, r.Names...)
	if r.Inner != nil {
		for _, name := range r.Inner.Names {
			head = append(head, name+" within")
		}
	}
	var rows [][]string
	for i, e := range r.Effects {
		row := []string{e.Group}
		if e.Inner != nil {
			row = append(row, *e.Inner)
		}
		row = append(row, fmt.Sprint(e.N))
		for _, effect := range append(append(Numbers{}, e.Effect...), e.Within...) {
			row = append(row, short(effect))
		}
		if e.outlook != nil {
			for _, x := range e.Crossings {
				if i == 0 {
					head = append(head, "at "+short(x.Threshold))
				}
				row = append(row, x.when())
			}
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return
	}
	p.table(words, head, rows[:min(len(rows), mostGroups)])
	if more := len(rows) - mostGroups; more > 0 {
		p.line("and %s: --json lists all\n", counted(more, "more group", "more groups"))
	}
}
