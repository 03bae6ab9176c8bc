package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
)

// coverage counts how often 95 % limits enclose the truth of the generating
// model: those of a fleet's time to 80°, and of one patch's angle half a year
// after its last reading.
func coverage(t *testing.T, fleets, vehicles, nodes int) (time, angle float64) {
	const threshold = 80.
	model := fleetModel
	model.Nodes = nodes
	held, patches, patchesHeld := 0., 0., 0.
	for r := range fleets {
		readings, own := drawFleet(rand.New(rand.NewPCG(uint64(r), 14)), vehicles, 8)
		fit, err := Curves(readings, model)
		require.NoError(t, err)
		x, err := fit.Typical([]float64{1}).TimeTo(threshold, 0.95)
		require.NoError(t, err)
		when := truth.τ * math.Exp(truth.marine) * math.Log((truth.start-truth.floor)/(threshold-truth.floor))
		if x.Lower <= when && when <= x.Upper {
			held++
		}
		last := map[label]float64{}
		for _, r := range readings {
			at := label{r.Outer, r.Inner}
			last[at] = max(last[at], r.Time)
		}
		for at, day := range last {
			curve, err := fit.Of(at.outer, at.inner, []float64{float64(at.outer % 2)})
			require.NoError(t, err)
			list, err := curve.Predict([]float64{day + 182}, 0.95)
			require.NoError(t, err)
			is := truth.floor + (own[at][1]-truth.floor)*math.Exp(-(day+182)/math.Exp(own[at][0]))
			patches++
			if list[0].Lower <= is && is <= list[0].Upper {
				patchesHeld++
			}
		}
	}
	t.Logf("%d nodes: time %.3f of %d fleets, angle %.3f of %v patches", nodes, held/float64(fleets), fleets, patchesHeld/patches, patches)
	return held / float64(fleets), patchesHeld / patches
}

// 150 fleets leave a standard error of 1.8 % for their times. The bias of the
// first order (see Curves) takes 2 % from the limits of angles.
func TestCoverageFirstOrder(t *testing.T) {
	time, angle := coverage(t, 150, 40, 0)
	near(t, "fleet's time", time, 0.95, check.Tolerance{Abs: 0.05})
	near(t, "patch's angle", angle, 0.93, check.Tolerance{Abs: 0.02})
}

// Angles only: too few fleets for their times.
func TestCoverageLaplace(t *testing.T) {
	_, angle := coverage(t, 6, 60, 1)
	near(t, "patch's angle", angle, 0.95, check.Tolerance{Abs: 0.025})
}

// With few vehicles, limits by the normal quantile hold the truth in 82 of 100
// fleets only. 150 fleets leave a standard error of 1.8 %.
func TestCoverageFewVehicles(t *testing.T) {
	time, _ := coverage(t, 150, 8, 1)
	near(t, "fleet's time", time, 0.95, check.Tolerance{Abs: 0.05})
}

// What the readings of vehicles with the demo's covariates come from is
// recovered: each effect within 3.5 of its errors, the spreads within a third.
func TestCurvesFindTheEffects(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 19))
	w := worlds()[0]
	var readings []Reading
	for v := range 120 {
		vehicle := worldVehicle * random.NormFloat64()
		x := []float64{0, 0, 0, 0, 0, 0}
		if climate := v % 4; climate > 0 {
			x[climate-1] = 1
		}
		if garage := random.IntN(3); garage > 0 {
			x[3+garage] = 1
		}
		for p := range 1 + random.IntN(3) {
			own := append([]float64(nil), x...)
			own[3] = float64(random.IntN(2))
			curve := w.curve(random, own, vehicle)
			for range 2 + random.IntN(29) { // some drop out early
				day := 1000 * random.Float64()
				readings = append(readings, Reading{
					Time: day, Value: curve.at(day) + w.error(random), Weight: 1, Outer: v, Inner: p, Covariates: own,
				})
			}
		}
	}
	start, err := ExponentialStart(readings, nil)
	require.NoError(t, err)
	fit, err := Curves(readings, demoModel(start))
	require.NoError(t, err)
	within := func(e Effect, want float64) {
		t.Helper()
		near(t, e.Name, e.Value, want, check.Tolerance{Abs: 3.5 * e.SE})
	}
	within(fit.Fixed[0], worldFloor)
	within(fit.Fixed[1], worldStart)
	within(fit.Fixed[2], math.Log(worldLife/-math.Log(leftAtLife)))
	for j, effect := range worldEffects {
		within(fit.Fixed[3+j], effect)
	}
	third := check.Tolerance{Rel: 1. / 3}
	near(t, "vehicle", fit.Outer.SD(0), worldVehicle, third)
	near(t, "floor", fit.Inner.SD(0), worldFloorSD, third)
	near(t, "start", fit.Inner.SD(1), worldStartSD, third)
	near(t, "patch", fit.Inner.SD(2), worldPatch, third)
	near(t, "error", fit.ResidualSD, worldError, check.Tolerance{Rel: 0.05})
}
