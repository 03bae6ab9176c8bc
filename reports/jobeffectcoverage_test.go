package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// demoEffects are what the demo's simulator does to lives, by contrast, with
// its own limits of cold and damp: testdata/demo/simulate/job.go. All other
// conditions do nothing there.
func demoEffects() (o JobEffectOptions, truth map[string]float64) {
	o = DefaultJobEffectOptions()
	o.Limits.ColdC, o.Limits.DampPct = 12, 75
	return o, map[string]float64{
		"air temperature below 12 °C": 0.90,
		"layers 1":                    0.93,
		"humidity above 75 %":         0.95,
	}
}

// coverage counts how often limits held the truth, and how often an effect was
// claimed that isn't there.
type coverage struct {
	held, looked map[string]int
	bias         map[string]float64
	fleets       int
	falseClaims  int // fleets with one
}

// jobCoverage simulates fleets and estimates their effects.
func jobCoverage(tb testing.TB, seeds int) coverage {
	o, truth := demoEffects()
	c := coverage{held: map[string]int{}, looked: map[string]int{}, bias: map[string]float64{}}
	for seed := range seeds {
		fleet := simulate.Fleet(uint64(1000 + seed))
		e, err := NewJobEffects(tb.Context(), fleet.Follow(study.DefaultProtocol()), o)
		require.NoError(tb, err)
		claimed := false
		for _, effect := range e.Effects {
			if effect.Why != "" {
				continue
			}
			name := effect.Condition + " " + effect.Contrast
			want, real := truth[name]
			if !real {
				want = 1
				claimed = claimed || effect.Shown
			}
			c.looked[name]++
			c.held[name] += one(effect.Limits.Low <= want && want <= effect.Limits.High)
			c.bias[name] += math.Log(effect.Ratio / want)
		}
		c.fleets++
		c.falseClaims += one(claimed)
	}
	return c
}

// share is the share of limits that held the truth, over the named contrasts or
// over all.
func (c coverage) share(names ...string) (share float64, looked int) {
	if len(names) == 0 {
		names = sortedKeys(c.looked)
	}
	held := 0
	for _, name := range names {
		held += c.held[name]
		looked += c.looked[name]
	}
	return float64(held) / float64(looked), looked
}

// TestJobEffectsAreRecovered: the limits hold what the simulator does in about
// 95 of 100 estimates, and what it doesn't do is hardly ever claimed. The
// bounds allow for so few fleets: of 50 estimates that each hold with 0.95,
// fewer than 42 do in one of 1500 tries (binomial).
func TestJobEffectsAreRecovered(t *testing.T) {
	const fleets = 8
	c := jobCoverage(t, fleets)
	_, truth := demoEffects()
	for name := range truth {
		assert.NotZero(t, c.looked[name], name)
	}
	share, looked := c.share()
	assert.Greater(t, looked, 6*fleets)
	assert.Greater(t, share, 0.85)
	assert.LessOrEqual(t, c.falseClaims, 2)
}

// BenchmarkJobEffectsCoverage counts over 60 fleets how often limits hold the
// truth, and in how many fleets an effect is claimed that isn't there: run it
// with -benchtime 1x. It takes half a minute.
func BenchmarkJobEffectsCoverage(b *testing.B) {
	_, truth := demoEffects()
	for b.Loop() {
		c := jobCoverage(b, 60)
		all, _ := c.share()
		real, _ := c.share(sortedKeys(truth)...)
		b.ReportMetric(all, "held-all")
		b.ReportMetric(real, "held-real")
		b.ReportMetric(float64(c.falseClaims)/float64(c.fleets), "fleets-false-claim")
		for _, name := range sortedKeys(truth) {
			b.Logf("%s: %.3f of %d, mean log error %+.3f", name, float64(c.held[name])/float64(c.looked[name]), c.looked[name], c.bias[name]/float64(c.looked[name]))
		}
	}
}
