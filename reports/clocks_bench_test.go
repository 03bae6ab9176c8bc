package reports

import (
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study/exposure"
)

// BenchmarkClocksAndJobs takes 2,000 vehicles with 4,000 patches.
func BenchmarkClocksAndJobs(b *testing.B) {
	sites := places()
	a := newAgeing(b, sites, exposure.UV, middlings()[exposure.UV])
	fleet := a.fleet(1, sites, 2000)
	for i := range fleet.Vehicles {
		for j := range fleet.Vehicles[i].Patches {
			job := &fleet.Vehicles[i].Patches[j].Job
			job.AirTempC, job.Layers, job.DaysToFirstWash = new(float64(7*i%30)), new(1+i%3), new(float64(i%13))
		}
	}
	followed := fleet.Follow(atOnce())
	b.Run("clocks", func(b *testing.B) {
		for b.Loop() {
			_, err := NewClocks(b.Context(), followed, a.sites, DefaultClockOptions())
			require.NoError(b, err)
		}
	})
	b.Run("jobs", func(b *testing.B) {
		for b.Loop() {
			_, err := NewJobEffects(b.Context(), followed, DefaultJobEffectOptions())
			require.NoError(b, err)
		}
	})
}
