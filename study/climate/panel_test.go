package climate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// TestFacing is example 1.6.1 of Duffie and Beckman, Solar Engineering of
// Thermal Processes: Madison, 43° N, 13 February, 10:30 by the sun, a surface
// tilted 45° and turned 15° west of south has cos θ = 0.817; from memory.
func TestFacing(t *testing.T) {
	sun := sunAt(43, 44, radians(-22.5))
	assert.InDelta(t, 0.817, PanelFacing(45, 195).facing(sun), 0.002) // the book's δ is −14°, ours −13.8°
}

// TestBeamRatioTowardsEquator holds the ratio of a surface that looks to the
// equator against its closed form, day by day weighted as BeamRatio does:
//
//	[cos(φ−β) cos δ sin ω's + ω's sin(φ−β) sin δ] /
//	[cos φ cos δ sin ωs + ωs sin φ sin δ],  ω's = min(ωs, acos(−tan(φ−β) tan δ))
//
// for the north; Liu and Jordan (1962), Klein, Solar Energy 19 (1977) 325–329.
func TestBeamRatioTowardsEquator(t *testing.T) {
	for _, latitude := range []float64{5, 25, 43, 51.5, 60} {
		for _, tilt := range []float64{0, 37, 60, 90} {
			for _, month := range []int{0, 2, 5, 8, 11} {
				tilted, flat := 0.0, 0.0
				first, last := monthSpan(month)
				for day := first; day <= last; day++ {
					ωs := SunsetAngle(latitude, day)
					// Behind the surface's own horizon.
					ω := math.Min(ωs, SunsetAngle(latitude-tilt, day))
					φ, β, δ := radians(latitude), radians(tilt), Declination(day)
					tilted += EarthSunFactor(day) * (math.Cos(φ-β)*math.Cos(δ)*math.Sin(ω) + ω*math.Sin(φ-β)*math.Sin(δ))
					flat += EarthSunFactor(day) * (math.Cos(φ)*math.Cos(δ)*math.Sin(ωs) + ωs*math.Sin(φ)*math.Sin(δ))
				}
				want := tilted / flat
				got := PanelFacing(tilt, 180).BeamRatio(latitude, month)
				assert.InDelta(t, want, got, 0.004*math.Max(1, want), "%g° N, tilt %g°, %s", latitude, tilt, monthNames()[month])
			}
		}
	}
}

// The mean over all headings is that of many headings one by one.
func TestBeamRatioAllHeadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		latitude := rapid.Float64Range(-70, 70).Draw(t, "latitude")
		month := rapid.IntRange(0, 11).Draw(t, "month")
		tilt := rapid.Float64Range(0, 90).Draw(t, "tilt")
		sum := 0.0
		for heading := 0.0; heading < 360; heading += 10 {
			sum += PanelFacing(tilt, heading).BeamRatio(latitude, month)
		}
		got := Panel{TiltDeg: tilt}.BeamRatio(latitude, month)
		if math.Abs(sum/36-got) > 0.005*math.Max(1, got) {
			t.Fatalf("mean of 36 headings %g, all %g", sum/36, got)
		}
	})
}

// TestBeamRatioFlat: a horizontal plane gets what a horizontal plane gets, and
// nothing in polar night.
func TestBeamRatioFlat(t *testing.T) {
	assert.InDelta(t, 1, Panel{}.BeamRatio(48, 3), 1e-12)
	assert.Zero(t, VerticalPanel().BeamRatio(85, 11))
}

func TestSkyShare(t *testing.T) {
	assert.InDelta(t, 1, Panel{}.SkyShare(), 1e-12)
	assert.InDelta(t, 0.5, VerticalPanel().SkyShare(), 1e-12)
	assert.InDelta(t, 0.75, PanelFacing(60, 180).SkyShare(), 1e-12)
}

// TestSidesInOrder: at mid latitudes a side that looks to the equator gets most
// beam, one that looks to the pole least, east and west the same.
func TestSidesInOrder(t *testing.T) {
	for month := range 12 {
		toward, away := PanelFacing(90, 180).BeamRatio(50, month), PanelFacing(90, 0).BeamRatio(50, month)
		east, west := PanelFacing(90, 90).BeamRatio(50, month), PanelFacing(90, 270).BeamRatio(50, month)
		assert.InDelta(t, east, west, 1e-9)
		assert.Less(t, away, east)
		if month < 3 || month > 8 {
			assert.Greater(t, toward, east)
		}
	}
}
