package decay

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

func TestFitAtBounds(t *testing.T) {
	line := readings([2]float64{0, 100}, [2]float64{100, 90}, [2]float64{200, 79}, [2]float64{300, 70}, [2]float64{400, 58})
	step := readings([2]float64{0, 110}, [2]float64{0, 112}, [2]float64{100, 69}, [2]float64{200, 71}, [2]float64{300, 70}, [2]float64{400, 70})
	steep := readings([2]float64{100, 150}, [2]float64{200, 71}, [2]float64{300, 70}, [2]float64{400, 70})

	t.Run("a straight fall has its floor at 0", func(t *testing.T) {
		curve, err := Fit(line, Options{})
		require.NoError(t, err)
		assert.Equal(t, AtBound, curve.Floor.State)
		assert.Zero(t, curve.Floor.Value)
		assert.True(t, math.IsNaN(curve.Floor.SE))
		_, _, err = curve.Floor.Limits(0.95)
		assert.ErrorIs(t, err, ErrNotEstimable)
		assert.Equal(t, Estimated, curve.Tau.State)
		assert.Contains(t, curve.Notes[0], "the floor is held at its bound of 0 degrees")
	})
	t.Run("a start beyond 180 is held there", func(t *testing.T) {
		curve, err := Fit(steep, Options{})
		require.NoError(t, err)
		assert.Equal(t, AtBound, curve.Start.State)
		assert.Equal(t, 180.0, curve.Start.Value)
	})
	t.Run("a fall between two readings tells no speed", func(t *testing.T) {
		curve, err := Fit(step, Options{})
		require.NoError(t, err)
		assert.Equal(t, AtBound, curve.Tau.State)
		check.Value(t, "start, the mean at day 0", curve.Start.Value, 111, check.Tolerance{Rel: 1e-9})
		check.Value(t, "floor, the mean thereafter", curve.Floor.Value, 70, check.Tolerance{Rel: 1e-9})
		// That the first low reading is a hair above the others tells it no more.
		step[2].Value, step[3].Value = 70.0001, 70
		again, err := Fit(step, Options{})
		require.NoError(t, err)
		assert.Equal(t, AtBound, again.Tau.State)

		x, err := curve.TimeTo(90, 0.95)
		require.NoError(t, err)
		assert.Equal(t, Crosses, x.Outcome)
		assert.True(t, math.IsNaN(x.SE) && math.IsNaN(x.Lower) && math.IsNaN(x.Upper))
	})
}

// Where one reading alone shows the fall, any faster fall from a higher start
// fits as well. The curve still goes through the points, and nothing may be
// said with limits that the points do not give.
func TestFitOnARidge(t *testing.T) {
	one, ten := 1.0, 10.51
	for _, c := range []struct {
		points  []Point
		options Options
	}{
		{readings([2]float64{2, 0.01}, [2]float64{6, 0}, [2]float64{7, 0}, [2]float64{8, 0}), Options{}},
		{readings([2]float64{0.5, 60}, [2]float64{7.5, 1}, [2]float64{30, 1}), Options{Floor: &one}},
		{readings([2]float64{0.21, 60}, [2]float64{30, 0}, [2]float64{150, 0.3}), Options{Floor: &ten, Clustered: true}},
	} {
		curve, err := Fit(c.points, c.options)
		require.NoError(t, err)
		require.True(t, curve.Falls)
		at, err := curve.Predict([]float64{c.points[0].Time}, 0.95)
		require.NoError(t, err)
		check.Value(t, "first reading", at[0].Value, c.points[0].Value, check.Tolerance{Abs: 1e-4})
		assert.LessOrEqual(t, curve.Start.Value, 180.0)
	}
}

// Left to itself the search would leave the bounds here, for a curve that
// rises from 0 to 90 within a thousandth.
func TestFitDoesNotRise(t *testing.T) {
	curve, err := Fit(readings([2]float64{0, 0}, [2]float64{0.001, 90}, [2]float64{30, 0}, [2]float64{60, 60}), Options{})
	require.NoError(t, err)
	assert.GreaterOrEqual(t, curve.Start.Value, curve.Floor.Value)
}

// With nothing read during the fall, and the lowest reading right after it,
// the fall can have been as fast as one likes.
func TestFitOfAStepHasNoTau(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.IntRange(600, 900)
		points := []Point{{Value: 110, Weight: 1}, {Value: 113, Weight: 1}, {Time: 30, Value: 59, Weight: 1}}
		sum := 59.0
		n := rapid.IntRange(3, 12).Draw(t, "n")
		for i := range n {
			p := Point{Time: 60 + 30*float64(i), Value: float64(angle.Draw(t, "tenths")) / 10, Weight: 1}
			points = append(points, p)
			sum += p.Value
		}
		curve, err := Fit(points, Options{})
		require.NoError(t, err)
		assert.Equal(t, AtBound, curve.Tau.State)
		wantNear(t, "start", curve.Start.Value, 111.5, check.Tolerance{Rel: 1e-9})
		wantNear(t, "floor", curve.Floor.Value, sum/float64(n+1), check.Tolerance{Rel: 1e-9})
	})
}
