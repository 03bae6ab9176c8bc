package simulate

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

func TestLifeEndsAtTheThreshold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := decay{
			start: rapid.Float64Range(lowestStartDeg, 120).Draw(t, "start"),
			floor: rapid.Float64Range(lowestFloorDeg, highestFloorDeg).Draw(t, "floor"),
			tau:   rapid.Float64Range(30, 3000).Draw(t, "tau"),
		}
		life := d.lifeDays()
		assert.InDelta(t, 90, d.angleDeg(life), 1e-9)
		assert.Greater(t, d.angleDeg(life-1), 90.0)
		assert.Less(t, d.angleDeg(life+1), 90.0)
	})
}

// The life of a middling patch is the table's: a start of 110°, a floor of 76°
// and the threshold of 90° give 34 e^(−t/τ) = 14.
func TestMiddlingPatchLivesAsTheTableSays(t *testing.T) {
	d := decay{start: startDeg, floor: floorDeg, tau: 100}
	assert.InDelta(t, 88.73, d.lifeDays(), 0.005) // 100 ln(34/14), by hand
}

func TestShareBeyondAndMedian(t *testing.T) {
	lives := []float64{2, 4, 6, 8, 10, 12, 14, 16}
	share, se := shareBeyond(lives, 12) // a life of 12 is not longer than 12
	assert.Equal(t, 2.0/8, share)
	assert.InDelta(t, 0.1531, se, 5e-5) // √(¼·¾/8), by hand
	median, _ := medianOf(lives)
	assert.Equal(t, 9.0, median)
}

// Two independent counts of the truth differ by no more than their errors
// allow: five standard errors of a difference.
func TestTruthKnowsItsError(t *testing.T) {
	again := Truths(7)
	for i, truth := range Truths(8) {
		other := again[i]
		assert.InDelta(t, other.MedianLifeMonths, truth.MedianLifeMonths, 5*1.42*truth.MedianSE, truth.Coating+truth.Climate)
		assert.InDelta(t, other.S12, truth.S12, 5*1.42*truth.S12SE+1e-4, truth.Coating+truth.Climate)
		assert.InDelta(t, other.S24, truth.S24, 5*1.42*truth.S24SE+1e-4, truth.Coating+truth.Climate)
	}
}

func TestFleetIsValid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fleet := Fleet(rapid.Uint64().Draw(t, "seed"))
		for _, c := range fleet.Coatings {
			require.NoError(t, c.Validate().OrNil())
		}
		for _, s := range fleet.Sites {
			require.NoError(t, s.Validate().OrNil())
		}
		for _, v := range fleet.Vehicles {
			requireValid(t, v)
		}
	})
}

func requireValid(t *rapid.T, v study.Vehicle) {
	require.NoError(t, v.Validate().OrNil(), v.Code)
	for _, p := range v.Patches {
		require.NoError(t, p.Validate().OrNil(), v.Code)
	}
	for _, c := range v.Care {
		require.NoError(t, c.Validate().OrNil(), v.Code)
	}
	for _, c := range v.Checkups {
		require.NotEmpty(t, c.Readings, v.Code)
		require.GreaterOrEqual(t, c.Day, v.Enrolled, v.Code)
		require.LessOrEqual(t, c.Day, lastDay(), v.Code)
		for _, r := range c.Readings {
			require.NoError(t, r.Validate().OrNil(), v.Code)
		}
	}
}

// Clean readings are those of the latent curve, less a trace of film of half a
// degree or a bit more, while nothing repels on top of it.
func TestCleanReadingsFollowTheLatentCurve(t *testing.T) {
	demo := New(Seed)
	sum, n := 0.0, 0.0
	for _, v := range demo.Fleet.Vehicles {
		for _, p := range v.Patches {
			if slices.ContainsFunc(v.CareOf(p.ID), func(c study.Care) bool { return c.Kind == study.Topper }) {
				continue
			}
			for _, c := range v.Checkups {
				for _, r := range c.Readings {
					if mean, measured := r.MeanAngleDeg(); measured && r.PatchID == p.ID && r.Stage == study.Decon {
						sum += mean - demo.Latent[p.ID].AngleDeg(float64(c.Day-p.InService()))
						n++
					}
				}
			}
		}
	}
	require.Greater(t, n, 200.0)
	assert.InDelta(t, -0.6, sum/n, 0.3)
}
