package pooled

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
)

// scenarios are what the ways of pooling are judged by.
func scenarios() map[string]scenario {
	small, eight, short, alike := demoLike(), demoLike(), demoLike(), demoLike()
	small.clusters = 12
	eight.places, eight.clusters = 8, 20
	short.clusters, short.follow = 20, 500
	alike.clusters, alike.placeSD, alike.cellSD = 12, 0.05, 0.02
	loaded := eight
	loaded.slope, loaded.placeSD = -0.25, 0.1
	return map[string]scenario{"demo": demoLike(), "small": small, "eight": eight, "short": short, "alike": alike, "loaded": loaded}
}

// score adds up how far estimates lie from the truth, and how often limits
// hold it.
type score struct{ n, squares, held, width float64 }

func (s *score) add(m *Median, truth float64) {
	if m == nil {
		return
	}
	s.n++
	s.squares += (m.Log - truth) * (m.Log - truth)
	s.width += math.Log(m.Upper / m.Lower)
	if math.Log(m.Lower) <= truth && truth <= math.Log(m.Upper) {
		s.held++
	}
}

func (s score) rmse() float64  { return math.Sqrt(s.squares / s.n) }
func (s score) cover() float64 { return s.held / s.n }

// scores of a scenario over many seeds.
type scores struct {
	own, pooled, mixed   score // cells that have a median of their own
	thin                 score // cells that have none
	middle               score // kinds in a middling place
	fresh, freshMixed    score // a place that isn't in the study
	slope, freshSlope    score // where a load is known
	studies, unestimable float64
	unpooled, notSettled float64
}

func (s scenario) play(t testing.TB, seeds uint64) scores {
	var all scores
	for seed := range seeds {
		drawn := s.draw(seed)
		r, err := Fit(drawn.data, 0.95)
		all.studies++
		if errors.Is(err, ErrTooLittle) {
			all.unestimable++
			continue
		}
		require.NoError(t, err)
		if r.Unpooled != "" {
			all.unpooled++
			continue
		}
		if r.Unsettled {
			all.notSettled++
		}
		mixed, freshMixed := oneMixedModel(t, drawn.data, r)
		for i, c := range r.Cells {
			truth := drawn.truth[[2]string{c.Kind, c.Place}]
			if c.Own == nil {
				all.thin.add(c.Pooled, truth)
				continue
			}
			all.own.add(c.Own, truth)
			all.pooled.add(c.Pooled, truth)
			all.mixed.add(mixed[i], truth)
		}
		for _, kind := range r.Kinds {
			all.middle.add(kind.Pooled, math.Log(s.medians[kind.Kind[0]-'A']))
		}
		load, err := r.OnLoad("load", drawn.loads)
		if err != nil {
			require.ErrorIs(t, err, ErrLoad)
		} else {
			all.slope.add(&Median{Log: load.Log, Lower: load.Lower, Upper: load.Upper}, s.slope)
		}
		for k, truth := range drawn.fresh {
			fresh, err := r.NewPlace(kindName(k))
			require.NoError(t, err)
			all.fresh.add(fresh, truth)
			all.freshMixed.add(freshMixed[kindName(k)], truth)
			if load != nil {
				byLoad, err := load.NewPlace(kindName(k), drawn.next)
				require.NoError(t, err)
				all.freshSlope.add(byLoad, truth)
			}
		}
	}
	return all
}

// oneMixedModel is the other way: one model with a random intercept for places,
// fitted to all lives at once, in which kinds differ alike everywhere and
// clusters play no part. Medians without limits where it gives none.
func oneMixedModel(t testing.TB, d Data, r *Result) (cells []*Median, fresh map[string]*Median) {
	var spans []survival.Span
	var kinds []string
	var level []float64
	var group []int
	for _, l := range d.Lives {
		if !r.table.pools(l.Kind) {
			continue
		}
		spans, kinds, level = append(spans, l.Span), append(kinds, l.Kind), append(level, l.Covariates[0]-r.table.own.means[0])
		for i, place := range r.table.places {
			if place == l.Place {
				group = append(group, i)
			}
		}
	}
	terms := []aft.Term{aft.Numeric("level", level)}
	if len(r.table.kinds) > 1 {
		terms = append(terms, aft.Factor("kind", kinds))
	}
	design, err := aft.NewDesign(len(spans), terms...)
	require.NoError(t, err)
	m, err := aft.FitMixed(aft.Data{Spans: spans, Design: design}, r.Law, group)
	cells, fresh = make([]*Median, len(r.Cells)), map[string]*Median{}
	if err != nil {
		return cells, fresh
	}
	median := func(kind string, shift, variance, df float64) *Median {
		values := aft.Values{"level": 0.0}
		if len(r.table.kinds) > 1 {
			values["kind"] = kind
		}
		x, err := design.Row(values)
		require.NoError(t, err)
		q, err := m.Quantile(aft.Life{X: x, Shift: shift}, 0.5, 0.95)
		require.NoError(t, err)
		return newMedian(q.Log, math.Sqrt(q.SELog*q.SELog+variance), df, 0.95)
	}
	for i, c := range r.Cells {
		for _, u := range m.Effects {
			if r.table.pools(c.Kind) && r.table.places[u.Group] == c.Place {
				cells[i] = median(c.Kind, u.Mean, u.SD*u.SD, math.Inf(1))
			}
		}
	}
	for _, kind := range r.table.kinds {
		fresh[kind] = median(kind, 0, m.Omega.SD*m.Omega.SD, math.Inf(1))
	}
	return cells, fresh
}

// BenchmarkCalibration tells how far medians lie from the truth (rmse, of log
// life: 0.06 is 6 %) and how often 95 % limits hold it (cover), for cells by
// themselves, pooled, and by one mixed model; and for a place not in the study.
func BenchmarkCalibration(b *testing.B) {
	for name, s := range scenarios() {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				all := s.play(b, 100)
				b.ReportMetric(all.own.rmse(), "own-rmse")
				b.ReportMetric(all.own.cover(), "own-cover")
				b.ReportMetric(all.pooled.rmse(), "pooled-rmse")
				b.ReportMetric(all.pooled.cover(), "pooled-cover")
				b.ReportMetric(all.mixed.rmse(), "mixed-rmse")
				b.ReportMetric(all.mixed.cover(), "mixed-cover")
				b.ReportMetric(all.thin.cover(), "thin-cover")
				b.ReportMetric(all.thin.rmse(), "thin-rmse")
				b.ReportMetric(all.middle.cover(), "middle-cover")
				b.ReportMetric(all.fresh.cover(), "new-cover")
				b.ReportMetric(all.fresh.width/all.fresh.n, "new-logwidth")
				b.ReportMetric(all.freshMixed.cover(), "mixed-new-cover")
				b.ReportMetric(all.slope.cover(), "slope-cover")
				b.ReportMetric(all.freshSlope.cover(), "loaded-new-cover")
				b.ReportMetric(all.freshSlope.width/all.freshSlope.n, "loaded-new-logwidth")
				b.ReportMetric(all.unpooled, "unpooled")
				b.ReportMetric(all.notSettled, "unsettled")
			}
		})
	}
}

// TestPoolingPays: over studies like the demo's, pooled medians are nearer to
// the truth than the cells' own, and limits hold the truth about as often as
// they say. The bounds leave room for the luck of these seeds.
func TestPoolingPays(t *testing.T) {
	small := scenarios()["small"]
	all := small.play(t, 30)
	assert.Less(t, all.pooled.rmse(), all.own.rmse())
	for what, cover := range map[string]float64{"own": all.own.cover(), "pooled": all.pooled.cover(), "thin": all.thin.cover()} {
		assert.Greater(t, cover, 0.88, what)
	}
	// The three kinds of a study share one new place: of 30 such places and 95 %
	// limits, 25 or more are held with a chance of 99 %.
	assert.GreaterOrEqual(t, all.fresh.cover(), 25.0/30)
	assert.Greater(t, all.fresh.width/all.fresh.n, 2*all.pooled.width/all.pooled.n, "a forecast is visibly wider")
}

// TestOnLoad finds the slope of the scenario, −0.25 of log life for each unit,
// over eight places, and then knows more of a new place by its load.
func TestOnLoad(t *testing.T) {
	all := scenarios()["loaded"].play(t, 8)
	assert.Less(t, all.slope.rmse(), 0.1)
	assert.GreaterOrEqual(t, all.slope.cover(), 6.0/8)
	assert.Less(t, all.freshSlope.width/all.freshSlope.n, all.fresh.width/all.fresh.n)
}
