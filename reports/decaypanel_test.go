package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestPanelGoesFromEarlyToLate: a dozen patches in the order in which they come
// down, the first of the early ones, the last of the late ones, none with fewer
// readings than asked.
func TestPanelGoesFromEarlyToLate(t *testing.T) {
	y := drawnYard(1, 60)
	for range 5 {
		y.vehicle("Cfb", "A", clean{10, 109}, clean{60, 104}) // too few readings for the panel
	}
	d := decaysOf(t, y)[0]
	panel := d.Population.Panel
	require.Len(t, panel, panelPatches)
	all, err := d.patchCurves()
	require.NoError(t, err)
	require.Len(t, all, 120)
	before := func(c PatchCurve) (n int) {
		for _, other := range all {
			n += one(other.Crossing.Time < c.Crossing.Time)
		}
		return n
	}
	for i, c := range panel {
		assert.GreaterOrEqual(t, len(c.Readings), panelReadings)
		assert.Equal(t, 5+10*i, before(c), "the middle one of ten")
	}
}

// TestPanelCurvesFollowTheirReadings: far from the typical patch a patch's own
// curve is nearer to its readings.
func TestPanelCurvesFollowTheirReadings(t *testing.T) {
	d := decaysOf(t, drawnYard(1, 60))[0]
	p := d.Population
	for _, c := range []PatchCurve{p.Panel[0], p.Panel[panelPatches-1]} {
		own, typical := 0.0, 0.0
		for _, r := range c.Readings {
			i := min(len(c.Mean)-1, int(2*r.Days/study.DaysPerMonth))
			own += square(r.AngleDeg - c.Mean[i].AngleDeg)
			typical += square(r.AngleDeg - p.Mean[i].AngleDeg)
		}
		assert.Less(t, own, typical)
	}
}

func square(x float64) float64 { return x * x }

// TestPanelOfFew shows all there are.
func TestPanelOfFew(t *testing.T) {
	y := newYard()
	for i := range 7 {
		y.vehicle("Cfb", "A", shifted(falling(76, 300+50*i), float64(i%3)-1)...)
	}
	d := decaysOf(t, y)[0]
	require.NotNil(t, d.Population, d.Unmodelled)
	codes := map[string]bool{}
	for _, c := range d.Population.Panel {
		codes[c.Vehicle] = true
	}
	assert.Len(t, codes, 7)
}
