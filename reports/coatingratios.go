package reports

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"beadspan/stats/survival/aft"
)

// ratioPlan says how ratios of lives are estimated.
type ratioPlan struct {
	adjusted  bool // for climate and orientation
	clustered bool // by vehicle, rather than patches taken as independent
	// laws are the distributions to take for coatings, rather than the best.
	laws  map[string]aft.Distribution
	level float64
}

// RatioModel says what some coatings' ratios rest on.
type RatioModel struct {
	Coatings []string
	Law      string   // distribution of lives
	Held     []string // alike: "climate", "orientation"
	JobSide           // the patches that tell
	// law is the distribution, and nextLaw the next best; nil where there is none.
	law     aft.Distribution
	nextLaw *aft.Distribution
}

// ratioFits are the models behind the ratios of all pairs.
type ratioFits struct {
	sample  *coatingSample // of all
	telling *coatingSample
	plan    ratioPlan
	models  []RatioModel
	lives   map[string]fittedLife
	whyNot  map[string]string // of coatings whose model could not be fitted
	err     error
}

// fittedLife is a coating in its model.
type fittedLife struct {
	model    int
	estimate *aft.Estimate
	life     aft.Life
}

// ratios fits a model to each lot of coatings that can be told from climate.
func (s *coatingSample) ratios(plan ratioPlan) *ratioFits {
	f := &ratioFits{sample: s, telling: s.telling(plan.adjusted), plan: plan, lives: map[string]fittedLife{}, whyNot: map[string]string{}}
	for _, lot := range f.telling.lots(plan.adjusted) {
		if len(lot) < 2 {
			continue
		}
		if f.err = f.fit(lot); f.err != nil {
			break
		}
	}
	return f
}

// lots sorts the coatings into lots that have climates in common, if only by way
// of one another: where A is in one climate, B in that and a second, and C in the
// second, A and C can be compared. Between lots a difference can't be told from
// that of their climates.
func (s *coatingSample) lots(byClimate bool) [][]string {
	if !byClimate {
		return [][]string{s.coatings()}
	}
	lotOf := map[string]int{} // of each coating and climate
	next := 0
	for _, m := range s.patches {
		code, place := "coating "+codeOf(m), "climate "+classOf(m)
		a, known := lotOf[code]
		b, alsoKnown := lotOf[place]
		switch {
		case known && alsoKnown && a != b:
			for name, lot := range lotOf {
				if lot == b {
					lotOf[name] = a
				}
			}
		case known:
			lotOf[place] = a
		case alsoKnown:
			lotOf[code] = b
		default:
			lotOf[code], lotOf[place] = next, next
			next++
		}
	}
	byLot := map[int][]string{}
	for _, code := range s.coatings() {
		byLot[lotOf["coating "+code]] = append(byLot[lotOf["coating "+code]], code)
	}
	var lots [][]string
	for _, code := range s.coatings() { // in the order of each lot's first
		if lot := byLot[lotOf["coating "+code]]; lot[0] == code {
			lots = append(lots, lot)
		}
	}
	return lots
}

// fit fits the model of a lot, without what the data can't tell from the
// coatings.
func (f *ratioFits) fit(lot []string) error {
	s := f.telling.keep(func(m *member) bool { return slices.Contains(lot, codeOf(m)) })
	var held []string
	if f.plan.adjusted {
		held = []string{"climate", "orientation"}
	}
	for {
		model, design, err := s.fitRatios(held, f.plan.lawOf(lot))
		var unknown *aft.NotEstimableError
		switch {
		case errors.As(err, &unknown) && slices.Contains(held, "orientation"):
			held = slices.DeleteFunc(held, func(name string) bool { return name == "orientation" })
			continue
		case notFittable(err):
			for _, code := range lot {
				f.whyNot[code] = "the model can’t be fitted: " + err.Error()
			}
			return nil
		case err != nil:
			return err
		}
		model.Coatings, model.Held, model.JobSide = lot, held, s.side()
		return f.add(model, design, s)
	}
}

// lawOf is the distribution to take for a lot; nil for the best.
func (p ratioPlan) lawOf(lot []string) *aft.Distribution {
	for _, code := range lot {
		if law, given := p.laws[code]; given {
			return &law
		}
	}
	return nil
}

// ratioModel is a fitted one, with its design.
type ratioModel struct {
	RatioModel
	fitted *aft.Model
}

// fitRatios fits the model under the law, or the best if that is nil.
func (s *coatingSample) fitRatios(held []string, law *aft.Distribution) (ratioModel, *aft.Design, error) {
	terms := []aft.Term{aft.Factor("coating", s.labels(codeOf))}
	for _, name := range held {
		switch name {
		case "climate":
			terms = append(terms, aft.Factor(name, s.labels(classOf)))
		case "orientation":
			terms = append(terms, aft.Factor(name, s.labels(orientationOf)))
		}
	}
	design, err := aft.NewDesign(len(s.patches), terms...)
	if err != nil {
		return ratioModel{}, nil, err
	}
	data := aft.Data{Spans: s.spans(), Design: design}
	if law != nil {
		fitted, err := aft.Fit(data, *law)
		return ratioModel{RatioModel{law: *law, Law: law.String()}, fitted}, design, err
	}
	choice, err := aft.Choose(data)
	if err != nil {
		return ratioModel{}, nil, err
	}
	best := choice.Models[0]
	m := ratioModel{RatioModel{law: best.Distribution, Law: best.Distribution.String()}, best}
	if len(choice.Models) > 1 {
		m.nextLaw = &choice.Models[1].Distribution
	}
	return m, design, nil
}

func orientationOf(m *member) string { return OrUnknown(string(m.Patch.Orientation)) }

func (s *coatingSample) labels(of func(*member) string) []string {
	labels := make([]string, len(s.patches))
	for i, m := range s.patches {
		labels[i] = of(m)
	}
	return labels
}

// add keeps what a fitted model says of each coating.
func (f *ratioFits) add(m ratioModel, design *aft.Design, s *coatingSample) error {
	fitted := m.fitted
	if f.plan.clustered {
		var err error
		if fitted, err = fitted.ByCluster(aft.Jackknife); err != nil {
			return err
		}
	}
	first := s.patches[0] // of all that isn't the coating any will do: it cancels out
	for _, code := range m.Coatings {
		values := aft.Values{"coating": code}
		for _, name := range m.Held {
			values[name] = map[string]func(*member) string{"climate": classOf, "orientation": orientationOf}[name](first)
		}
		row, err := design.Row(values)
		if err != nil {
			return err
		}
		f.lives[code] = fittedLife{len(f.models), &fitted.Estimate, aft.Life{X: row}}
	}
	f.models = append(f.models, m.RatioModel)
	return nil
}

// byLife sorts coatings, the one that lasts longest first: model by model, then
// those without one.
func (f *ratioFits) byLife(codes []string) []string {
	key := func(code string) (model int, life float64) {
		fitted, known := f.lives[code]
		if !known {
			return math.MaxInt, 0
		}
		for j, b := range fitted.estimate.Coefficients {
			life += b * fitted.life.X[j]
		}
		return fitted.model, life
	}
	sorted := slices.Clone(codes)
	slices.SortStableFunc(sorted, func(a, b string) int {
		modelA, lifeA := key(a)
		modelB, lifeB := key(b)
		switch {
		case modelA != modelB:
			return modelA - modelB
		case lifeA != lifeB:
			return map[bool]int{true: -1, false: 1}[lifeA > lifeB]
		}
		return strings.Compare(a, b)
	})
	return sorted
}

// ratio is that of two coatings, or why there is none.
func (f *ratioFits) ratio(a, b string) (*RatioOfLives, string) {
	x, known := f.lives[a]
	y, alsoKnown := f.lives[b]
	if !known || !alsoKnown || x.model != y.model {
		return nil, f.why(a, b)
	}
	r, err := x.estimate.Ratio(x.life, y.life, f.plan.level)
	if err != nil || math.IsNaN(r.P) { // levels are checked, rows are the design's own
		return nil, fmt.Sprintf("its limits can’t be estimated (%v)", err)
	}
	return &RatioOfLives{Ratio: r.Ratio, Limits: Limits{r.Lower, r.Upper}, P: r.P, Adjusted: math.NaN()}, ""
}

// why says why two coatings have no ratio.
func (f *ratioFits) why(a, b string) string {
	for _, code := range []string{a, b} {
		if n := f.sample.of(code).side(); !n.spentEnough() {
			return fmt.Sprintf("of %s %d of %s spent, on %s; a ratio takes %d on %d", code, n.Spent, patches(n.Patches),
				vehicles(n.SpentVehicles), leastSpent, leastSpentVehicles)
		}
	}
	for _, code := range []string{a, b} {
		if n := f.telling.of(code).side(); n.Patches == 0 {
			return fmt.Sprintf("in the climates of %s too few patches were both spent and seen to hold", code)
		}
	}
	for _, code := range []string{a, b} {
		if why := f.whyNot[code]; why != "" {
			return why
		}
	}
	return "they have no climate in common, not even by way of other coatings: whether coating or climate makes the difference can’t be told"
}
