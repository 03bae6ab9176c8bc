package reports

import (
	"errors"
	"math"
	"slices"
	"strings"

	"beadspan/stats/survival/aft"
	"beadspan/study"
)

// jobFits fits the models behind job effects. Conditions that are looked at on
// the same patches share a fit.
type jobFits struct {
	jobSample
	level      float64
	conditions []jobCondition
	law        aft.Distribution
	settled    bool
	fits       map[string]*jobFit // by the names of their conditions
}

func newJobFits(followed []study.Followed, o JobEffectOptions) *jobFits {
	return &jobFits{jobSample: newJobSample(followed), level: o.Level, conditions: o.Limits.conditions(), fits: map[string]*jobFit{}}
}

// chooseLaw takes the distribution that fits the cells alone best.
func (f *jobFits) chooseLaw() error {
	if len(f.patches) == 0 {
		return nil
	}
	design, err := aft.NewDesign(len(f.patches), f.cells())
	if err != nil {
		return err
	}
	choice, err := aft.Choose(aft.Data{Spans: f.spans(), Design: design})
	switch {
	case notFittable(err):
		return nil
	case err != nil:
		return err
	}
	f.law, f.settled = choice.Models[0].Distribution, true
	return nil
}

// effectsOf estimates the contrasts of one condition.
func (f *jobFits) effectsOf(c jobCondition) ([]JobEffect, error) {
	sides, any := f.judge(c)
	if !any || !f.settled {
		return sides, nil
	}
	recorded := f.with(c)
	together := []jobCondition{c}
	for _, other := range f.conditions {
		if other.name == c.name {
			continue
		}
		if _, any := recorded.judge(other); !any {
			continue
		}
		if both := recorded.with(other); float64(len(both.patches)) >= leastRecorded*float64(len(recorded.patches)) {
			together = append(together, other)
		}
	}
	fit, err := f.fit(together)
	if err != nil {
		return nil, err
	}
	for i := range sides {
		effect := &sides[i]
		if effect.Why != "" {
			continue
		}
		column := c.name + ": " + effect.Contrast
		effect.With, effect.Without = fit.sides[column][0], fit.sides[column][1]
		if effect.Why = fit.why[column]; effect.Why != "" {
			continue
		}
		p := fit.effects[column]
		effect.Ratio, effect.P = math.Exp(p.Value), p.P
		effect.Limits = Limits{math.Exp(p.Lower), math.Exp(p.Upper)}
	}
	return sides, nil
}

// jobFit is one model with the contrasts of several conditions.
type jobFit struct {
	effects map[string]aft.Parameter
	sides   map[string][2]JobSide
	why     map[string]string // nothing was estimated
}

// fit estimates the contrasts of all conditions together, on the patches that
// have them all on record. What the data don't allow leaves the model, with a
// reason, until the rest can be fitted.
func (f *jobFits) fit(together []jobCondition) (*jobFit, error) {
	var names []string
	for _, c := range together {
		names = append(names, c.name)
	}
	slices.Sort(names)
	key := strings.Join(names, "|")
	if fit, known := f.fits[key]; known {
		return fit, nil
	}
	fit := &jobFit{effects: map[string]aft.Parameter{}, sides: map[string][2]JobSide{}, why: map[string]string{}}
	f.fits[key] = fit
	s := &f.jobSample
	for _, c := range together {
		s = s.with(c)
	}
	s = s.tellingCells()
	m := &jobModel{jobSample: s, law: f.law, adjusters: []string{"orientation", "substrate", "garage"}}
	for _, c := range together {
		effects, _ := s.judge(c)
		for i, effect := range effects {
			column := c.contrasts[i].column(c.name)
			fit.sides[column] = [2]JobSide{effect.With, effect.Without}
			if effect.Why != "" {
				fit.why[column] = effect.Why
				continue
			}
			m.columns = append(m.columns, jobColumn{column, c, c.contrasts[i]})
		}
	}
	return fit, m.estimate(fit, f.level)
}

// estimate fits the model, and again without what can't be estimated.
func (m *jobModel) estimate(fit *jobFit, level float64) error {
	for len(m.columns) > 0 {
		model, err := m.fitOnce()
		var unknown *aft.NotEstimableError
		switch {
		case errors.As(err, &unknown) && m.drop(unknown, fit):
			continue
		case notFittable(err):
			m.giveUp(fit, err.Error())
			return nil
		case err != nil:
			return err
		}
		robust, err := model.ByCluster(aft.Jackknife)
		if err != nil {
			return err
		}
		parameters, err := robust.Parameters(level)
		if err != nil {
			return err
		}
		for _, p := range parameters {
			fit.effects[p.Name] = p
		}
		return nil
	}
	return nil
}

// drop takes out of the model what the error names, and reports whether there
// was such.
func (m *jobModel) drop(unknown *aft.NotEstimableError, fit *jobFit) bool {
	named := func(prefix string) bool {
		return slices.ContainsFunc(unknown.Parameters, func(p string) bool { return p == prefix || strings.HasPrefix(p, prefix+"=") })
	}
	adjusters, columns := len(m.adjusters), len(m.columns)
	m.adjusters = slices.DeleteFunc(m.adjusters, named)
	m.columns = slices.DeleteFunc(m.columns, func(c jobColumn) bool {
		if named(c.name) {
			fit.why[c.name] = "it can’t be told from coating, climate and the other conditions here"
			return true
		}
		return false
	})
	return len(m.adjusters) < adjusters || len(m.columns) < columns
}

func (m *jobModel) giveUp(fit *jobFit, why string) {
	for _, c := range m.columns {
		fit.why[c.name] = "the model could not be fitted: " + why
	}
	m.columns = nil
}
