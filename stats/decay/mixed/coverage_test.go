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
