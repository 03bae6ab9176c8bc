package reports

import (
	"context"
	"math"

	"beadspan/stats/survival/aft"
)

// withinClimates tells how far the climates' lives lie apart within each clock,
// on the patches of those climates and coatings of which enough were spent.
func (f *clockFits) withinClimates(ctx context.Context, rows []ClockRow) error {
	within := &clockSample{patches: append([]clockedPatch(nil), f.sample.patches...), why: f.sample.why}
	within.keepEnough(climateOf)
	within.keepEnough(func(p clockedPatch) string { return p.Coating.Code })
	n := len(within.patches)
	labels, present := make([]string, n), map[string]bool{}
	for i, p := range within.patches {
		labels[i] = climateOf(p)
		present[labels[i]] = true
	}
	if len(present) < 2 {
		return nil
	}
	coating, climate := f.coatings(within.patches), aft.Factor("climate", labels)
	alone, err := aft.NewDesign(n, coating)
	if err != nil {
		return err
	}
	both, err := aft.NewDesign(n, coating, climate)
	if err != nil {
		return err
	}
	f.climates = sortedKeys(present)
	for i := range rows {
		if err := ctx.Err(); err != nil {
			return err
		}
		spans := within.on(rows[i].Clock)
		smaller, err := aft.Fit(aft.Data{Spans: spans, Design: alone}, f.law)
		var larger *aft.Model
		if err == nil {
			larger, err = aft.Fit(aft.Data{Spans: spans, Design: both}, f.law)
		}
		if notFittable(err) {
			continue
		}
		if err == nil {
			rows[i].Climate, err = climateWithin(smaller, larger, f.climates)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func climateOf(p clockedPatch) string { return OrUnknown(p.Site.Koppen) }

// climateWithin compares a model of coatings with one that tells climates apart
// as well.
func climateWithin(smaller, larger *aft.Model, climates []string) (*ClimateWithin, error) {
	ratio, err := aft.CompareNested(smaller, larger)
	if err != nil {
		return nil, err
	}
	w := &ClimateWithin{Longest: climates[0], Shortest: climates[0], ChiSquare: ratio.ChiSq, DF: ratio.DF}
	first := len(larger.Coefficients) - len(climates) + 1 // the climates' columns come last
	highest, lowest := 0.0, 0.0                           // of the first climate, with which the others are compared
	for i, b := range larger.Coefficients[first:] {
		if b > highest {
			highest, w.Longest = b, climates[i+1]
		}
		if b < lowest {
			lowest, w.Shortest = b, climates[i+1]
		}
	}
	w.Ratio = math.Exp(highest - lowest)
	w.P = math.NaN()
	robust, err := larger.ByCluster(aft.Jackknife)
	if err != nil {
		return nil, err
	}
	if wald, err := robust.Wald(larger.Names[first:len(larger.Coefficients)]...); err == nil {
		w.P = wald.P
	}
	return w, nil
}
