package calc

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// WriteText prints the covariates, the tests and the predictions.
func (r *CoxResult) WriteText(w io.Writer) error {
	var p page
	p.line("Cox regression, ties by %s, %s, %s ended", r.Ties, counted(r.N, "row", "rows"), counted(r.Events, "life", "lives"))
	if r.Clusters > 0 {
		p.line("Errors by %d clusters", r.Clusters)
	}
	p.line("")
	r.covariates(&p)
	p.line("log-likelihood %s, without covariates %s", short(r.LogLik), short(r.LogLikNull))
	p.line("Whether no covariate matters:")
	p.line("  likelihood ratio  %s", r.LikelihoodRatio.words())
	p.line("  Wald              %s", r.Wald.words())
	p.line("  score             %s", r.Score.words())
	if r.RobustWald != nil {
		p.line("  Wald, robust      %s", r.RobustWald.words())
		p.line("  score, robust     %s", r.RobustScore.words())
	}
	p.line("Concordance %s, SE %s\n", short(r.Concordance.C), short(r.Concordance.SE))
	if r.HazardsKM != nil {
		r.HazardsKM.write(&p)
	}
	for _, life := range r.Predicted {
		life.write(&p, r.Level)
	}
	return p.to(w, r.Source)
}

func (r *CoxResult) covariates(p *page) {
	errors := r.SE
	if r.RobustSE != nil {
		errors = r.RobustSE
	}
	var rows [][]string
	for i, name := range r.Covariates {
		rows = append(rows, []string{name, short(r.Coef[i]), short(errors[i]), short(r.Ratio[i]),
			short(r.Limits.Lower[i]), short(r.Limits.Upper[i]), probability(r.P[i])})
	}
	if len(rows) > 0 {
		p.table(1, []string{"Covariate", "coefficient", "SE", "hazard ratio", "lower", "upper", "p"}, rows)
	}
}

func (t *hazardsTest) write(p *page) {
	var rows [][]string
	for i, term := range t.Terms {
		rows = append(rows, []string{term, short(t.ChiSq[i]), fmt.Sprint(t.DF[i]), probability(t.P[i])})
	}
	p.table(1, []string{"Hazard ratio constant over time?", "χ²", "df", "p"}, rows)
}

func (l predicted) write(p *page, level float64) {
	var rows [][]string
	for i, time := range l.Times {
		rows = append(rows, []string{short(time), short(l.Survival[i]), short(l.SE[i]), short(l.Lower[i]), short(l.Upper[i])})
	}
	p.line("Predicted for %s, %s limits", valuesText(l.X, l.Strata), percent(level))
	p.table(0, []string{"Time", "S", "SE", "lower", "upper"}, rows)
}

// valuesText writes the values of a life, by column.
func valuesText(of ...map[string]any) string {
	all := map[string]any{}
	for _, values := range of {
		maps.Copy(all, values)
	}
	var words []string
	for _, column := range slices.Sorted(maps.Keys(all)) {
		words = append(words, fmt.Sprintf("%s=%v", column, all[column]))
	}
	return strings.Join(words, ", ")
}
