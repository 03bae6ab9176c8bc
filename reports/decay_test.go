package reports

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/decay"
	"beadspan/study"
)

// falling is θ(t) = floor + (110 − floor) e^(−t/200), read every fifty days.
func falling(floor float64, days int) []clean {
	var readings []clean
	for day := 0; day <= days; day += 50 {
		readings = append(readings, clean{day, floor + (110-floor)*math.Exp(-float64(day)/200)})
	}
	return readings
}

// shifted adds to every reading's angle.
func shifted(readings []clean, by float64) []clean {
	for i := range readings {
		readings[i].angle += by
	}
	return readings
}

// TestDecayFallsToTheControls: readings that lie evenly about a curve to the
// controls' angle give that curve back, since a floor of its own fits no
// better; it crosses 90° at 200 ln((110−76)/(90−76)) days.
func TestDecayFallsToTheControls(t *testing.T) {
	y := newYard()
	v := y.vehicle("Cfb", "A", shifted(falling(76, 300), 1)...)
	// Two drops of 75 and one of 78 weigh to 76.
	y.patch(v, "BARE", clean{10, 78}, clean{20, 75})
	v.Checkups[len(v.Checkups)-1].Readings[0].AnglesDeg = []float64{75, 75}
	y.vehicle("Cfb", "A", shifted(falling(76, 300), -1)...)
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	require.Len(t, decays, 1, "a control has no decay of its own")
	d := decays[0]
	require.NotNil(t, d.ControlDeg)
	assert.InDelta(t, 76, *d.ControlDeg, 1e-12)
	assert.Equal(t, decay.Fixed, d.Curve.Floor.State)
	assert.Equal(t, 2, d.Vehicles)
	assert.Equal(t, 2, d.Patches)
	assert.InDelta(t, 110, d.Curve.Start.Value, 1e-6)
	assert.InDelta(t, 200, d.Curve.Tau.Value, 1e-5)
	assert.InDelta(t, 200*math.Log(34.0/14), d.Crossing.Time, 1e-4)
	mean, ok := d.meanAt(3)
	require.True(t, ok)
	assert.InDelta(t, 76+34*math.Exp(-3*study.DaysPerMonth/200), mean.AngleDeg, 1e-6)
}

func TestDecayUsesWhatShowsTheCoating(t *testing.T) {
	y := newYard()
	v := y.vehicle("Cfb", "A", clean{0, 110}, clean{100, 100}, clean{200, 108})
	v.Care = []study.Care{{ID: study.NewID(), Day: serviceBegan + 150, Kind: study.Topper}}
	v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: serviceBegan + 120, Readings: []study.Reading{
		{PatchID: v.Patches[0].ID, Stage: study.Washed, AnglesDeg: []float64{95}}, // not clean
	}})
	days := func(e study.Estimand) (days []float64) {
		p := atOnce()
		p.Estimand = e
		decays, err := newDecays(t.Context(), y.fleet.Follow(p), p, 0.95)
		require.NoError(t, err)
		for _, r := range decays[0].Readings {
			days = append(days, r.Days)
		}
		return days
	}
	assert.Equal(t, []float64{0, 100}, days(study.ToTopper), "what a topper repels is not the coating's")
	assert.Equal(t, []float64{0, 100, 200}, days(study.AsMaintained))
	v.Care[0].Kind = study.Repaint
	assert.Equal(t, []float64{0, 100}, days(study.AsMaintained))
}

func TestDecayFindings(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []clean
		control  *clean
		want     string
	}{
		{"too few", []clean{{10, 110}, {20, 108}}, nil, "A: no curve fits its 4 clean readings"},
		{"level", []clean{{0, 105}, {100, 105}, {200, 106}, {300, 107}}, nil, "A’s mean clean contact angle did not fall within 9.9 months"},
		{"floor above the threshold", falling(95, 900), nil, "A’s mean clean contact angle levels off at 95°, above the threshold of 90°"},
		// 200 ln(34/14) = 177.5 days, 5.8 months; read up to 150 days, 4.9 months.
		{"extrapolated", falling(76, 150), &clean{10, 76}, "A’s mean clean contact angle would fall to 90° at 5.8 months (5.8–5.8), but nobody was followed beyond 4.9"},
		{"crosses", falling(76, 300), &clean{10, 76}, "A’s mean clean contact angle fell to 90° at 5.8 months (5.8–5.8)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			y := newYard()
			y.vehicle("Cfb", "A", c.readings...)
			y.vehicle("Cfb", "A", c.readings...)
			if c.control != nil {
				y.vehicle("Cfb", "BARE", *c.control)
			}
			decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
			require.NoError(t, err)
			assert.Equal(t, c.want, decays[0].Finding())
		})
	}
}

// TestFloorAboveTheReadings: controls that repel better than the coating can't
// be its floor; it is estimated and a note says so.
func TestFloorAboveTheReadings(t *testing.T) {
	y := newYard()
	y.vehicle("Cfb", "A", falling(60, 600)...)
	y.vehicle("Cfb", "A", falling(60, 600)...)
	y.vehicle("Cfb", "BARE", clean{10, 130})
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	require.NotNil(t, decays[0].Curve)
	assert.Equal(t, decay.Estimated, decays[0].Curve.Floor.State)
	assert.InDelta(t, 60, decays[0].Curve.Floor.Value, 1e-4)
	assert.Contains(t, decays[0].Notes[0], "don’t lie above those of the uncoated panels (130°)")
}

// TestFloorOfItsOwn: readings that level off far above the controls are not
// bent down to them, and a note says which curve is shown.
func TestFloorOfItsOwn(t *testing.T) {
	y := newYard()
	y.vehicle("Cfb", "A", shifted(falling(85, 900), 1)...)
	y.vehicle("Cfb", "A", shifted(falling(85, 900), -1)...)
	y.vehicle("Cfb", "BARE", clean{10, 70})
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	d := decays[0]
	assert.Equal(t, decay.Estimated, d.Curve.Floor.State)
	assert.InDelta(t, 85, d.Curve.Floor.Value, 1e-4)
	assert.InDelta(t, 70, *d.ControlDeg, 1e-12)
	assert.Contains(t, d.Notes[0], "one with a floor of its own (85°)")
	assert.NotContains(t, d.Notes[0], "does not fit well")
}

// TestMisfit: readings that hold level and then drop have no exponential
// through them. The note's number is the mean residual of θ∞ + (θ0 − θ∞) e^(−t/τ).
func TestMisfit(t *testing.T) {
	var readings []clean
	for day := 0; day <= 600; day += 30 {
		readings = append(readings, clean{day, 75 + 35/(1+math.Exp(float64(day-300)/30))})
	}
	y := newYard()
	y.vehicle("Cfb", "A", readings...)
	y.vehicle("Cfb", "A", readings...)
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	d := decays[0]
	floor, start, tau := d.Curve.Floor.Value, d.Curve.Start.Value, d.Curve.Tau.Value
	off := 0.0
	for _, r := range readings[:3] { // days 0, 30 and 60
		off += (r.angle - floor - (start-floor)*math.Exp(-float64(r.day)/tau)) / 3
	}
	require.Less(t, off, -1.0)
	assert.Contains(t, d.Notes, fmt.Sprintf("The curve does not fit well at the start: the 6 readings of the first 60 days lie %.1f° below it on average. "+
		"Its shape is too simple for these readings.", -off))
}
