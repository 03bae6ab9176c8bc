package decay

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

func TestFitWithoutFall(t *testing.T) {
	seventy := 70.0
	for name, c := range map[string]struct {
		points  []Point
		options Options
		mean    float64 // by hand
	}{
		"constant":                 {readings([2]float64{0, 105}, [2]float64{100, 105}, [2]float64{200, 105}, [2]float64{300, 105}), Options{}, 105},
		"rising":                   {readings([2]float64{0, 90}, [2]float64{100, 95}, [2]float64{200, 99}, [2]float64{300, 104}), Options{}, 97},
		"rising, fixed floor":      {readings([2]float64{0, 90}, [2]float64{100, 95}, [2]float64{200, 100}), Options{Floor: &seventy}, 95},
		"up and down, fixed floor": {readings([2]float64{0, 0}, [2]float64{0.001, 0.01}, [2]float64{0.002, 0}), Options{Floor: new(float64)}, 0.01 / 3},
		"constant, fixed floor":    {readings([2]float64{0, 105}, [2]float64{100, 105}, [2]float64{200, 105}), Options{Floor: &seventy}, 105},
	} {
		t.Run(name, func(t *testing.T) {
			curve, err := Fit(c.points, c.options)
			require.NoError(t, err)
			assert.False(t, curve.Falls)
			check.Value(t, "mean", curve.Start.Value, c.mean, check.Tolerance{Rel: 1e-12})
			assert.Equal(t, Estimated, curve.Start.State)
			assert.Equal(t, Undetermined, curve.Tau.State)
			assert.True(t, math.IsInf(curve.Tau.Value, 1))
			require.Len(t, curve.Notes, 1)
			assert.Contains(t, curve.Notes[0], "no decay seen")

			x, err := curve.TimeTo(0.8*c.mean, 0.95)
			require.NoError(t, err)
			assert.Equal(t, NotReached, x.Outcome)
			x, err = curve.TimeTo(1.1*c.mean, 0.95)
			require.NoError(t, err)
			assert.Equal(t, BelowFromStart, x.Outcome)
		})
	}
}

// Rounding in the weighted mean of equal readings must not pass for a fall.
func TestFitOfEqualReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(20, 170).Draw(t, "angle")
		points := make([]Point, 12)
		for i := range points {
			points[i] = Point{Time: 30 * float64(i), Value: angle, Weight: rapid.Float64Range(0.1, 10).Draw(t, "weight")}
		}
		curve, err := Fit(points, Options{})
		require.NoError(t, err)
		assert.False(t, curve.Falls)
		wantNear(t, "mean", curve.Start.Value, angle, check.Tolerance{Rel: 1e-12})
	})
}

// The mean and its limits by hand: readings 103, 104, 106, 107 have mean 105
// and SD √(10/3), and t(0.975; 3) is 3.182446305 in printed tables.
func TestFitWithoutFallHasLimitsOfAMean(t *testing.T) {
	curve, err := Fit(readings([2]float64{0, 103}, [2]float64{100, 104}, [2]float64{200, 106}, [2]float64{300, 107}), Options{})
	require.NoError(t, err)
	require.False(t, curve.Falls)
	tol := check.Tolerance{Rel: 1e-9}
	reach := 3.182446305 * math.Sqrt(10.0/3/4)
	lower, upper, err := curve.Start.Limits(0.95)
	require.NoError(t, err)
	check.Value(t, "lower", lower, 105-reach, tol)
	check.Value(t, "upper", upper, 105+reach, tol)
}
