package reports

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
	"beadspan/study/exposure"
)

// leastUnits is the least difference in log-likelihood that counts: below it
// the models are nearly the same, and Vuong's test is no guide.
const leastUnits = 2

// clockFits fits the models that compare clocks.
type clockFits struct {
	sample   *clockSample
	level    float64
	law      aft.Distribution
	climates []string // compared within each clock
}

// compare fills in the rows and sorts them, the best clock first. A clock that
// can't be fitted gets a reason and goes last.
func (f *clockFits) compare(ctx context.Context, rows []ClockRow) ([]ClockRow, error) {
	models := make([]*aft.Model, len(rows))
	reasons := make([]string, len(rows))
	design, err := aft.NewDesign(len(f.sample.patches), f.coatings(f.sample.patches))
	if err != nil {
		return nil, err
	}
	best := math.Inf(-1)
	for _, law := range []aft.Distribution{aft.Weibull, aft.LogNormal, aft.LogLogistic} {
		tried, why, total, err := f.fitAll(ctx, rows, design, law)
		if err != nil {
			return nil, err
		}
		if law == aft.Weibull || total > best {
			models, reasons, best, f.law = tried, why, total, law
		}
	}
	fitted := map[exposure.Clock]*aft.Model{}
	for i := range rows {
		if rows[i].Why = reasons[i]; models[i] != nil {
			fitted[rows[i].Clock] = models[i]
			rows[i].LogLik = models[i].LogLik
			rows[i].Still = f.sample.still(rows[i].Clock)
		}
	}
	slices.SortStableFunc(rows, func(a, b ClockRow) int {
		return cmp.Or(one(a.Why != "")-one(b.Why != ""), cmp.Compare(b.LogLik, a.LogLik))
	})
	n := len(fitted)
	if err := f.rank(rows[:n], fitted); err != nil {
		return nil, err
	}
	for i := range rows[:n] {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if rows[i].Lives, err = f.lives(rows[i].Clock, fitted[rows[i].Clock], design); err != nil {
			return nil, err
		}
	}
	return rows, f.withinClimates(ctx, rows[:n])
}

// fitAll fits every clock under one law. total is −Inf unless all could be.
func (f *clockFits) fitAll(ctx context.Context, rows []ClockRow, design *aft.Design, law aft.Distribution) (models []*aft.Model, why []string, total float64, err error) {
	models, why = make([]*aft.Model, len(rows)), make([]string, len(rows))
	for i, row := range rows {
		if err := ctx.Err(); err != nil {
			return nil, nil, 0, err
		}
		models[i], err = aft.Fit(aft.Data{Spans: f.sample.on(row.Clock), Design: design}, law)
		switch {
		case notFittable(err):
			why[i] = err.Error()
			total = math.Inf(-1)
		case err != nil:
			return nil, nil, 0, err
		default:
			total += models[i].LogLik
		}
	}
	return models, why, total, nil
}

// notFittable reports whether err says that the data don't allow a model, and
// not that something is wrong.
func notFittable(err error) bool {
	var unknown *aft.NotEstimableError
	var unsettled *aft.ConvergenceError
	return errors.As(err, &unknown) || errors.As(err, &unsettled)
}

// rank holds each clock against the best one, which is the first.
func (f *clockFits) rank(rows []ClockRow, fitted map[exposure.Clock]*aft.Model) error {
	var ps []float64
	for i := range rows {
		row := &rows[i]
		row.Behind = rows[0].LogLik - row.LogLik
		if i == 0 {
			continue
		}
		v, err := aft.CompareUnnested(fitted[rows[0].Clock], fitted[row.Clock])
		switch {
		case errors.Is(err, aft.ErrClusters):
			v.P = 1 // one vehicle can't tell
		case err != nil:
			return err
		}
		ps = append(ps, v.P)
	}
	adjusted := survival.Holm(ps)
	for i := range rows {
		rows[i].P = 1
		if i > 0 {
			rows[i].P = adjusted[i-1]
		}
		rows[i].AsGood = rows[i].P >= 1-f.level || rows[i].Behind < leastUnits
	}
	return nil
}

// lives tells how long half of each coating's patches last on a clock.
func (f *clockFits) lives(c exposure.Clock, m *aft.Model, design *aft.Design) ([]ClockLife, error) {
	robust, err := m.ByCluster(aft.Jackknife)
	if err != nil {
		return nil, err
	}
	counts := map[string]*sideCount{}
	longest := map[string]float64{}
	for i, span := range f.sample.on(c) {
		p := f.sample.patches[i]
		if counts[p.Coating.Code] == nil {
			counts[p.Coating.Code] = &sideCount{}
		}
		counts[p.Coating.Code].add(p.member)
		longest[p.Coating.Code] = max(longest[p.Coating.Code], lastSeen(span))
	}
	var lives []ClockLife
	for _, code := range sortedKeys(counts) {
		row, err := design.Row(aft.Values{"coating": code})
		if err != nil {
			return nil, err
		}
		q, err := robust.Quantile(aft.Life{X: row}, 0.5, f.level)
		if err != nil {
			return nil, err
		}
		n := counts[code].side()
		lives = append(lives, ClockLife{Coating: code, Vehicles: n.Vehicles, Patches: n.Patches, Spent: n.Spent,
			Median: q.Time, Limits: Limits{q.Lower, q.Upper}, Longest: longest[code]})
	}
	return lives, nil
}

func (f *clockFits) coatings(patches []clockedPatch) aft.Term {
	labels := make([]string, len(patches))
	for i, p := range patches {
		labels[i] = p.Coating.Code
	}
	return aft.Factor("coating", labels)
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
