package calc

import (
	"fmt"
	"io"
)

// WriteText prints the parameters, the test, random effects and predictions.
func (r *AFTResult) WriteText(w io.Writer) error {
	var p page
	p.line("Accelerated failure time, %s: %s (%d exact, %d right-, %d left-, %d interval-censored)", r.Distribution,
		counted(r.N, "row", "rows"), r.Exact, r.Right, r.Left, r.Interval)
	if r.Correction != nil {
		p.line("Errors by %d clusters, %s", r.Clusters, *r.Correction)
	}
	p.line("")
	r.parameters(&p)
	p.line("log-likelihood %s, AIC %s", short(r.LogLik), short(r.AIC))
	if r.LikelihoodRatio != nil {
		p.line("Whether no covariate matters: %s", r.LikelihoodRatio.words())
	}
	p.line("")
	r.choices(&p)
	if r.Random != nil {
		r.Random.write(&p)
	}
	for _, life := range r.Predictions {
		life.write(&p, r.Level)
	}
	return p.to(w, r.Source)
}

func (r *AFTResult) parameters(p *page) {
	errors := r.SE
	if r.RobustSE != nil {
		errors = r.RobustSE
	}
	estimates := append(append(Numbers{}, r.Coef...), r.LogScale...)
	var rows [][]string
	for i, name := range r.Parameters {
		rows = append(rows, []string{name, short(estimates[i]), short(errors[i]), short(r.Limits.Lower[i]),
			short(r.Limits.Upper[i]), probability(r.P[i])})
	}
	p.table(1, []string{"Parameter", "estimate", "SE", "lower", "upper", "p"}, rows)
}

func (r *AFTResult) choices(p *page) {
	var rows [][]string
	for _, c := range r.Choice {
		rows = append(rows, []string{c.Distribution, short(c.LogLik), short(c.AIC)})
	}
	if len(rows) > 0 {
		p.table(1, []string{"Distribution", "log-likelihood", "AIC"}, rows)
	}
}

func (e *randomEffects) write(p *page) {
	p.line("Standard deviation of log life between values of %s: %s, SE %s, %s", e.Column, short(e.SD), short(e.SE),
		between(e.Lower, e.Upper))
	var rows [][]string
	for i, name := range e.Groups {
		rows = append(rows, []string{name, short(e.Mean[i]), short(e.Spread[i])})
	}
	p.table(1, []string{e.Column, "effect", "SD"}, rows)
}

func (l aftPrediction) write(p *page, level float64) {
	words := "Predicted"
	if given := valuesText(l.X, l.Strata); given != "" {
		words += " for " + given
	}
	p.line("%s, %s limits", words, percent(level))
	var rows [][]string
	for _, q := range l.Quantiles {
		rows = append(rows, []string{shareEnded(q.Share), short(q.Quantile), short(q.SE), short(q.Lower), short(q.Upper)})
		if q.Profile != nil {
			rows = append(rows, []string{"  by its profile likelihood", "", "", short(q.Profile.Lower), short(q.Profile.Upper)})
		}
	}
	for _, s := range l.Survival {
		rows = append(rows, s.row(fmt.Sprintf("S(%s)", short(s.Time))))
	}
	for _, left := range l.Remaining {
		rows = append(rows, []string{fmt.Sprintf("Life left at %s, within %s", short(left.Alive), short(left.Horizon)),
			short(left.Expected), short(left.SE), short(left.Lower), short(left.Upper)})
		for _, s := range left.Survival {
			rows = append(rows, s.row(fmt.Sprintf("S(%s) if it holds at %s", short(s.Time), short(left.Alive))))
		}
	}
	if len(rows) > 0 {
		p.table(1, []string{"", "estimate", "SE", "lower", "upper"}, rows)
	}
	if l.Fit != nil {
		p.line("The model lies off Turnbull's estimate by up to %s, at %s.\n", short(l.Fit.Distance), short(l.Fit.AtTime))
	}
}

func (s aftSurvival) row(what string) []string {
	return []string{what, short(s.Survival), short(s.SE), short(s.Lower), short(s.Upper)}
}
