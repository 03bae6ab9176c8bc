package reports

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// comparisonSeeds are fleets of the demo's scenario that no other test uses.
const comparisonSeeds = 7000

// demoHorizon is up to when the simulation counts lives, in months.
const demoHorizon = 15

// demoComparisonTruth is what is true of the pairs of the demo's coatings: the
// same figures of lives known to the day, those of the latent angles, of the
// patches of many fleets together. It takes nothing of visits, film or readings.
func demoComparisonTruth(tb testing.TB, fleets int) (ratios map[string]*RatioOfLives, leads map[string]*MeanLead) {
	all := &coatingSample{}
	vehicle := 0
	for seed := range fleets {
		demo := simulate.New(uint64(comparisonSeeds + seed))
		s := newCoatingSample(demo.Fleet.Follow(study.DefaultProtocol()))
		for _, m := range s.patches {
			life := latentLife(demo.Latent[m.Patch.ID], study.DefaultProtocol().Threshold)
			m.Span = study.Span{LowerDays: life, UpperDays: life, Known: true}
			m.vehicle += vehicle
			all.patches = append(all.patches, m)
		}
		vehicle += len(demo.Fleet.Vehicles)
	}
	fits := all.ratios(ratioPlan{adjusted: true, clustered: true, level: 0.95})
	require.NoError(tb, fits.err)
	ratios, leads = map[string]*RatioOfLives{}, map[string]*MeanLead{}
	codes := fits.byLife(all.coatings())
	o := roughComparison()
	o.HorizonMonths = demoHorizon
	for i, a := range codes {
		for _, b := range codes[i+1:] {
			var why string
			ratios[a+b], why = fits.ratio(a, b)
			require.Empty(tb, why)
			var err error
			leads[a+b], why, err = all.pair(a, b).lead(tb.Context(), a, b, o, &tally{})
			require.NoError(tb, err)
			require.Empty(tb, why)
		}
	}
	return ratios, leads
}

// latentLife is when the clean angle falls below the threshold:
// start·e^(−t/τ) + floor·(1 − e^(−t/τ)) = threshold.
func latentLife(l simulate.Latent, threshold float64) float64 {
	return math.Max(1, l.TauDays*math.Log((l.StartDeg-l.FloorDeg)/(threshold-l.FloorDeg)))
}

// comparisonMisses are how often limits held the truth, and how far estimates lie
// from it.
type comparisonMisses struct {
	ratios, naive, leads       int // looked at
	heldRatios, heldNaive      int
	heldLeads                  int
	ratioBias, leadBias        float64
	ratioWidth, leadWidth, gap float64
}

func playComparisons(tb testing.TB, seeds int) (m comparisonMisses) {
	ratios, leads := demoComparisonTruth(tb, max(20, seeds))
	o := DefaultComparisonOptions()
	o.BootstrapReplicates = 100
	o.HorizonMonths = demoHorizon
	for seed := range seeds {
		fleet := simulate.Fleet(uint64(comparisonSeeds + seed))
		s := newCoatingSample(fleet.Follow(study.DefaultProtocol()))
		fits, naive := s.ratios(ratioPlan{adjusted: true, clustered: true, level: 0.95}), s.ratios(ratioPlan{adjusted: true, level: 0.95})
		require.NoError(tb, fits.err)
		for _, pair := range [][2]string{{"CEDAR", "BIRCH"}, {"CEDAR", "ALDER"}, {"BIRCH", "ALDER"}} {
			a, b := pair[0], pair[1]
			truth := ratios[a+b].Ratio
			if r, _ := fits.ratio(a, b); r != nil {
				m.ratios++
				m.heldRatios += one(r.Limits.Low <= truth && truth <= r.Limits.High)
				m.ratioBias += math.Log(r.Ratio / truth)
				m.ratioWidth += math.Log(r.Limits.High / r.Limits.Low)
			}
			if r, _ := naive.ratio(a, b); r != nil {
				m.naive++
				m.heldNaive += one(r.Limits.Low <= truth && truth <= r.Limits.High)
			}
			lead, _, err := s.pair(a, b).lead(tb.Context(), a, b, o, &tally{})
			require.NoError(tb, err)
			if lead != nil {
				m.leads++
				m.heldLeads += one(lead.Limits.Low <= leads[a+b].Months && leads[a+b].Months <= lead.Limits.High)
				m.leadBias += lead.Months - leads[a+b].Months
				m.leadWidth += lead.Limits.High - lead.Limits.Low
				m.gap += lead.Open.High - lead.Open.Low
			}
		}
	}
	return m
}

func share(held, looked int) float64 { return float64(held) / float64(looked) }

// TestComparisonsHoldTheTruth: over demo fleets, limits hold the truth about as
// often as they say. Of 36 that each do with 0.95, fewer than 29 do in one of
// 2,000 tries (binomial, taken as independent).
func TestComparisonsHoldTheTruth(t *testing.T) {
	t.Parallel()
	m := playComparisons(t, 12)
	assert.Equal(t, 36, m.ratios)
	assert.GreaterOrEqual(t, m.heldRatios, 29)
	assert.Greater(t, m.leads, 30)
	assert.GreaterOrEqual(t, share(m.heldLeads, m.leads), 0.8)
}

// BenchmarkComparisonCoverage counts over 150 fleets of the demo's scenario how
// often limits hold the truth: run it with -benchtime 1x -timeout 1h. In 450
// comparisons (standard error 1.0) those of ratios did in 95.3 %, and those of
// months up to 15 months in 94.7; ratios came out 0.5 % and months 0.06 too small.
// Limits that take patches as independent hold it in 96.4 here, where most
// comparisons are within vehicles, and are wider than they need be.
func BenchmarkComparisonCoverage(b *testing.B) {
	for b.Loop() {
		m := playComparisons(b, 150)
		b.ReportMetric(share(m.heldRatios, m.ratios), "ratio-cover")
		b.ReportMetric(share(m.heldNaive, m.naive), "naive-cover")
		b.ReportMetric(share(m.heldLeads, m.leads), "months-cover")
		b.ReportMetric(m.ratioBias/float64(m.ratios), "log-ratio-bias")
		b.ReportMetric(m.leadBias/float64(m.leads), "months-bias")
		b.ReportMetric(m.ratioWidth/float64(m.ratios), "log-ratio-width")
		b.ReportMetric(m.leadWidth/float64(m.leads), "months-width")
		b.ReportMetric(m.gap/float64(m.leads), "months-open")
	}
}

// BenchmarkComparison compares the coatings of 20,000 vehicles, by ten readings of
// their records.
func BenchmarkComparison(b *testing.B) {
	for _, vehicles := range []int{160, 2_000, 20_000} {
		b.Run(fmt.Sprint(vehicles), func(b *testing.B) {
			fleet := joinedFleets(vehicles)
			for b.Loop() {
				c, err := NewFleetComparison(b.Context(), fleet, study.DefaultProtocol(), DefaultComparisonOptions())
				require.NoError(b, err)
				require.Len(b, c.Pairs, 3)
			}
		})
	}
}
