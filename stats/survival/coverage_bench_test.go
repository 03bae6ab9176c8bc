package survival_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	. "beadspan/stats/survival"
	"beadspan/stats/survival/aft"
)

// BenchmarkCoverage simulates field studies and reports how often, in per cent,
// limits of 95 % hold the truth: those of the median life and of S(12 months), by
// Turnbull's estimate with ClusterBootstrap and by a Weibull model with its
// covariance by cluster (jackknife), for the median also its profile limits; and,
// to be compared, those of the Weibull model that takes patches as independent or
// has the plain sandwich. mc-error is the standard error of such a share.
//
// It takes minutes, so it must be asked for by -benchtime 1x. Found in November
// 2026 with 500 fleets a study (mc-error 1.0):
//
//	                        turnbull      weibull               independent  sandwich
//	study                median   S12  median profile   S12       median      median
//	many vehicles  (150)  95.6   97.2   94.0   94.4   95.0         88.6        93.6
//	few vehicles    (15)  96.0   97.0   94.6   95.4   94.4         85.2        90.4
//	sparse visits   (80)  97.8   96.8   95.6   95.8   95.4         93.0        94.4
//	eight vehicles        95.6   95.8   95.8   96.2   96.4         86.0        88.4
//	five vehicles         93.0   95.8   94.8   95.4   97.4         83.8        83.2
func BenchmarkCoverage(b *testing.B) {
	if flag.Lookup("test.benchtime").Value.String() != "1x" {
		b.Skip("takes minutes: go test -run '^$' -bench Coverage -benchtime 1x -timeout 1h ./stats/survival")
	}
	for _, f := range fieldStudies {
		b.Run(f.name, func(b *testing.B) {
			const fleets = 500
			for b.Loop() {
				held := map[string]int{}
				for seed := range uint64(fleets) {
					spans := f.fleet(rand.New(rand.NewPCG(seed, 15)))
					for what, l := range turnbullLimits(b, spans, seed) {
						held[what] += holds(l, what)
					}
					for what, l := range weibullLimits(b, spans) {
						held[what] += holds(l, what)
					}
				}
				for what, n := range held {
					b.ReportMetric(100*float64(n)/fleets, what+"-%")
				}
				b.ReportMetric(100*math.Sqrt(0.95*0.05/fleets), "mc-error-%")
			}
		})
	}
}

// holds is 1 if limits of what they are named for hold the truth.
func holds(l Limits, what string) int {
	truth := trueMedian
	if l.At == aYear {
		truth = trueSurvival(aYear)
	}
	if l.Lower <= truth && truth <= l.Upper {
		return 1
	}
	return 0
}

// turnbullLimits are those by resampling vehicles.
func turnbullLimits(b *testing.B, spans []Span, seed uint64) map[string]Limits {
	r, err := ClusterBootstrap(b.Context(), spans, Resampling{
		Times: []float64{aYear}, Shares: []float64{0.5}, Level: 0.95, Replicates: 399, Seed: seed,
	})
	if err != nil {
		b.Fatal(err)
	}
	return map[string]Limits{"turnbull-median": r.Quantiles[0], "turnbull-S12": r.Survival[0]}
}

// weibullLimits are those of a Weibull model.
func weibullLimits(b *testing.B, spans []Span) map[string]Limits {
	must := func(err error) {
		if err != nil {
			b.Fatal(err)
		}
	}
	model, err := aft.Fit(aft.Data{Spans: spans}, aft.Weibull)
	must(err)
	limits := map[string]Limits{}
	ask := func(name string, m *aft.Model) {
		life := aft.Life{X: []float64{1}}
		q, err := m.Quantile(life, 0.5, 0.95)
		must(err)
		limits[name+"-median"] = Limits{q.P, q.Lower, q.Upper}
		q, err = m.ProfileQuantile(life, 0.5, 0.95)
		must(err)
		limits[name+"-profile"] = Limits{q.P, q.Lower, q.Upper}
		c, err := m.Survival(life, aYear, 0.95)
		must(err)
		limits[name+"-S12"] = Limits{c.Time, c.Lower, c.Upper}
	}
	ask("independent", model)
	for name, correction := range map[string]aft.Correction{"weibull": aft.Jackknife, "sandwich": aft.Uncorrected} {
		robust, err := model.ByCluster(correction)
		must(err)
		ask(name, robust)
	}
	return limits
}
