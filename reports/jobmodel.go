package reports

import (
	"beadspan/stats/survival/aft"
)

// jobModel is a model of lives by cell, by what panels and vehicles are like,
// and by job conditions.
type jobModel struct {
	*jobSample
	law       aft.Distribution
	adjusters []string
	columns   []jobColumn
}

// jobColumn is one contrast of a condition in the model.
type jobColumn struct {
	name      string
	condition jobCondition
	contrast  jobContrast
}

// fitOnce fits the model as it stands.
func (m *jobModel) fitOnce() (*aft.Model, error) {
	terms := []aft.Term{m.cells()}
	for _, name := range m.adjusters {
		terms = append(terms, m.adjuster(name))
	}
	for _, c := range m.columns {
		terms = append(terms, m.numbers(c))
	}
	design, err := aft.NewDesign(len(m.patches), terms...)
	if err != nil {
		return nil, err
	}
	return aft.Fit(aft.Data{Spans: m.spans(), Design: design}, m.law)
}

// adjuster is a factor of what the patches are like apart from their job.
func (m *jobModel) adjuster(name string) aft.Term {
	labels := make([]string, len(m.patches))
	for i, p := range m.patches {
		switch name {
		case "orientation":
			labels[i] = string(p.Patch.Orientation)
		case "substrate":
			labels[i] = string(p.Patch.Substrate)
		case "garage":
			labels[i] = string(p.Vehicle.Garage)
		}
		labels[i] = OrUnknown(labels[i])
	}
	return aft.Factor(name, labels)
}

// numbers is a contrast's column: 1 on its side and 0 on the other, or for a
// slope the distance from the mean in its unit. Jobs without the condition stand
// at the mean.
func (m *jobModel) numbers(c jobColumn) aft.Term {
	numbers := make([]float64, len(m.patches))
	mean := 0.0
	if c.contrast.with == nil {
		mean = m.mean(c.condition)
	}
	for i, p := range m.patches {
		x, _ := c.condition.of(p.Patch.Job)
		switch {
		case x == nil:
		case c.contrast.with == nil:
			numbers[i] = (*x - mean) / c.contrast.unit
		case c.contrast.with(*x):
			numbers[i] = 1
		}
	}
	return aft.Numeric(c.name, numbers)
}

// mean is that of a condition over the jobs that have it.
func (s *jobSample) mean(c jobCondition) float64 {
	sum, n := 0.0, 0.0
	for _, p := range s.patches {
		if x, _ := c.of(p.Patch.Job); x != nil {
			sum += *x
			n++
		}
	}
	return sum / n
}
