package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// miss adds up how far lives lie from the truth, on the log scale, and how
// often limits hold it.
type miss struct{ n, squares, held float64 }

func (m *miss) add(life *HalfLife, truth float64) {
	if life == nil || math.IsInf(life.Months, 1) {
		return
	}
	m.n++
	off := math.Log(life.Months / truth)
	m.squares += off * off
	m.held += float64(one(life.Limits.Low <= truth && truth <= life.Limits.High))
}

func (m miss) rmse() float64  { return math.Sqrt(m.squares / m.n) }
func (m miss) cover() float64 { return m.held / m.n }

// climateMisses are those of cells over many demo fleets, and of forecasts for
// a climate that was left out of them.
type climateMisses struct{ pooled, own, turnbull, leftOut miss }

// demoTruths are the true half-lives that the demo is simulated from.
func demoTruths() map[Group]float64 {
	truths := map[Group]float64{}
	for _, t := range simulate.Truths(simulate.Seed) {
		truths[Group{t.Coating, t.Climate}] = t.MedianLifeMonths
	}
	return truths
}

func playClimates(tb testing.TB, seeds int, leaveOut bool) (all climateMisses) {
	truths := demoTruths()
	for seed := range seeds {
		fleet := simulate.Fleet(uint64(2000 + seed))
		followed := fleet.Follow(study.DefaultProtocol())
		c, err := NewClimateLife(followed, nil, 0.95)
		require.NoError(tb, err)
		require.Empty(tb, c.Refused)
		for _, row := range c.Rows {
			all.pooled.add(row.Pooled, truths[row.Group])
			all.own.add(row.Own, truths[row.Group])
		}
		_, members := grouped(followed, []By{ByCoating, ByClimate})
		for g, patches := range members {
			curve, err := survival.Turnbull(newSample(patches).spans)
			require.NoError(tb, err)
			all.turnbull.add(&HalfLife{Months: curve.Quantile(0.5).Time / study.DaysPerMonth}, truths[g])
		}
		if leaveOut {
			forecastLeftOut(tb, c.Climates, followed, truths, &all.leftOut)
		}
	}
	return all
}

// forecastLeftOut forecasts each climate from the patches in all others.
func forecastLeftOut(tb testing.TB, climates []ClimateInStudy, followed []study.Followed, truths map[Group]float64, all *miss) {
	for _, left := range climates {
		var others []study.Followed
		for _, f := range followed {
			if f.Site.Koppen != left.Class {
				others = append(others, f)
			}
		}
		c, err := NewClimateLife(others, nil, 0.95)
		require.NoError(tb, err)
		for _, o := range c.Coatings {
			all.add(&o.NewPlace, truths[Group{o.Coating, left.Class}])
		}
	}
}

// BenchmarkClimateLife tells how far half-lives of the demo's coatings in its
// climates lie from the truth (rmse, of log life: 0.06 is 6 %), pooled, by
// themselves in the same model, and by Turnbull's estimate of the cell alone;
// how often 95 % limits hold the truth; and how often the forecast for a climate
// left out holds it. Those four climates are the same in every fleet: how
// forecasts fare over climates drawn anew is in package pooled's benchmark.
func BenchmarkClimateLife(b *testing.B) {
	for b.Loop() {
		all := playClimates(b, 60, true)
		b.ReportMetric(all.pooled.rmse(), "pooled-rmse")
		b.ReportMetric(all.own.rmse(), "own-rmse")
		b.ReportMetric(all.turnbull.rmse(), "turnbull-rmse")
		b.ReportMetric(all.pooled.cover(), "pooled-cover")
		b.ReportMetric(all.own.cover(), "own-cover")
		b.ReportMetric(all.leftOut.cover(), "left-out-cover")
	}
}

// TestClimateLifeNearsTruth: over demo fleets, pooled half-lives are nearer to
// the truth than those of cells by themselves, and limits hold it about as
// often as they say.
func TestClimateLifeNearsTruth(t *testing.T) {
	all := playClimates(t, 12, false)
	assert.Less(t, all.pooled.rmse(), all.own.rmse())
	assert.Less(t, all.pooled.rmse(), all.turnbull.rmse())
	assert.Greater(t, all.pooled.cover(), 0.88)
}
