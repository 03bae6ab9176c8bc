package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestJobWarnings has both sides of each limit of practice. The limits are
// common practice, no source: what detailers say of their work.
func TestJobWarnings(t *testing.T) {
	for _, c := range []struct {
		column     string
		set        func(*Job, float64)
		fine, warn []float64
	}{
		{"air_temp_c", func(j *Job, x float64) { j.AirTempC = &x }, []float64{10, 20, 25}, []float64{-5, 9.9, 25.1, 40}},
		{"humidity_pct", func(j *Job, x float64) { j.HumidityPct = &x }, []float64{20, 45, 70}, []float64{70.5, 100}},
		{"prep_alcohol_pct", func(j *Job, x float64) { j.PrepAlcoholPct = &x }, []float64{30, 40, 50}, []float64{0, 29, 51, 100}},
		{"layers", func(j *Job, x float64) { j.Layers = new(int(x)) }, []float64{2}, []float64{1, 3, 10}},
		{"layer_interval_h", func(j *Job, x float64) { j.LayerIntervalH = &x }, []float64{0.5, 1, 3}, []float64{0.1, 3.5, 24}},
		{"flash_s", func(j *Job, x float64) { j.FlashS = &x }, []float64{20, 60, 180}, []float64{5, 600}},
		{"keep_dry_h", func(j *Job, x float64) { j.KeepDryH = &x }, []float64{12, 24, 48}, []float64{0, 11}},
		{"days_to_first_wash", func(j *Job, x float64) { j.DaysToFirstWash = &x }, []float64{7, 30}, []float64{0, 6}},
	} {
		for _, x := range c.fine {
			var j Job
			c.set(&j, x)
			assert.Empty(t, j.Warnings(), "%s %v", c.column, x)
		}
		for _, x := range c.warn {
			var j Job
			c.set(&j, x)
			got := j.Warnings()
			require.Len(t, got, 1, "%s %v", c.column, x)
			assert.Equal(t, c.column, got[0].Column)
			assert.NotEmpty(t, got[0].What)
			assert.NotEmpty(t, got[0].Why)
		}
	}
	assert.Empty(t, Job{}.Warnings(), "what nobody wrote down is no reason to warn")
	two := Job{Layers: new(1), LayerIntervalH: new(1.0)}.Warnings()
	require.Len(t, two, 2)
	assert.Equal(t, "layer_interval_h", two[1].Column)
}

func TestWarningsOfCare(t *testing.T) {
	v, film := history(t)
	v.Patches[0].Substrate = Film
	paint := film
	paint.ID, paint.Code, paint.Substrate, paint.Applied = NewID(), "P2", Paint, film.Applied+30
	v.Patches = append(v.Patches, paint)
	for _, c := range []struct {
		name  string
		care  Care
		warns bool
	}{
		{"a wash in the first week", Care{Kind: MaintenanceWash, Day: film.Applied + 6}, true},
		{"a wash after it", Care{Kind: MaintenanceWash, Day: film.Applied + 7}, false},
		{"the wash before coating, on its day", Care{Kind: DeconWash, Day: film.Applied}, false},
		{"a wash of the vehicle in the week of its second patch", Care{Kind: IronRemover, Day: paint.Applied + 1}, true},
		{"a wash of the first patch only", Care{Kind: IronRemover, Day: paint.Applied + 1, PatchID: &film.ID}, false},
		{"a topper", Care{Kind: Topper, Day: film.Applied + 1}, false},
		{"clay on film", Care{Kind: Clay, Day: film.Applied + 100}, true},
		{"clay on the painted patch", Care{Kind: Clay, Day: paint.Applied + 100, PatchID: &paint.ID}, false},
		{"clay before the coating", Care{Kind: Clay, Day: film.Applied - 1}, false},
	} {
		got := v.WarningsOf(c.care)
		assert.Equal(t, c.warns, len(got) == 1, "%s: %v", c.name, got)
	}
}
