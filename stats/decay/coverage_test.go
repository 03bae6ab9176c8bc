package decay

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// truth is the curve that the simulations draw from.
var truth = struct{ floor, start, tau float64 }{60, 110, 250}

func truthAt(day float64) float64 {
	return truth.floor + (truth.start-truth.floor)*math.Exp(-day/truth.tau)
}

// drawn are n readings at equal steps of the curve that the simulations draw
// from, with noise made of a normal number.
func drawn(random *rand.Rand, n int, step float64, noise func(day, normal float64) float64) []Point {
	points := make([]Point, n)
	for i := range points {
		day := step * float64(i)
		points[i] = Point{Time: day, Value: truthAt(day) + noise(day, random.NormFloat64()), Weight: 1}
	}
	return points
}

// threeDegrees makes noise with an SD of 3°.
func threeDegrees(_, normal float64) float64 { return 3 * normal }

// Limits of 95 % must hold the truth about 95 times in 100. Of 1000 draws the
// share is within 0.029 of that with probability 0.99997 (4 standard errors),
// before the small error of linearising.
func TestLimitsCoverTheTruth(t *testing.T) {
	const draws = 1000
	random := rand.New(rand.NewPCG(20, 26))
	crossing := truth.tau * math.Log((truth.start-truth.floor)/(85-truth.floor))
	var tau, curve, reading, time int
	for range draws {
		c, err := Fit(drawn(random, 20, 45, threeDegrees), Options{})
		require.NoError(t, err)
		lower, upper, err := c.Tau.Limits(0.95)
		require.NoError(t, err)
		tau += count(lower, truth.tau, upper)
		at, err := c.Predict([]float64{200}, 0.95)
		require.NoError(t, err)
		curve += count(at[0].Lower, truthAt(200), at[0].Upper)
		reading += count(at[0].NewLower, truthAt(200)+3*random.NormFloat64(), at[0].NewUpper)
		x, err := c.TimeTo(85, 0.95)
		require.NoError(t, err)
		time += count(x.Lower, crossing, x.Upper)
	}
	for name, held := range map[string]int{"tau": tau, "curve": curve, "new reading": reading, "time to threshold": time} {
		assert.InDelta(t, 0.95, float64(held)/draws, 0.029, name)
	}
}

// Six readings in a year are few: limits by the profile must still hold the
// truth, within 4 standard errors of 400 draws, and be there in every draw. In
// 1000 draws they held it 957 times, those of the delta method 948 times; with
// five readings 963 and 958, with eight 958 and 948.
func TestProfileLimitsCoverTheTruth(t *testing.T) {
	const draws = 400
	random := rand.New(rand.NewPCG(11, 26))
	crossing := truth.tau * math.Log((truth.start-truth.floor)/(85-truth.floor))
	held := 0
	for range draws {
		c, err := Fit(drawn(random, 6, 72, threeDegrees), Options{})
		require.NoError(t, err)
		x, err := c.ProfileTimeTo(85, 0.95)
		require.NoError(t, err)
		held += count(x.Lower, crossing, x.Upper)
	}
	assert.InDelta(t, 0.95, float64(held)/draws, 0.044)
}

// With luck that is shared within a vehicle, only the clustered limits do.
func TestClusteredLimitsCoverTheTruth(t *testing.T) {
	const draws = 300
	random := rand.New(rand.NewPCG(7, 26))
	crossing := truth.tau * math.Log((truth.start-truth.floor)/(85-truth.floor))
	held := map[bool]int{}
	for range draws {
		var points []Point
		for vehicle := range 40 {
			luck := 5 * random.NormFloat64()
			for range 8 {
				day := 900 * random.Float64()
				points = append(points, Point{day, truthAt(day) + luck + 2*random.NormFloat64(), 1, vehicle})
			}
		}
		for _, clustered := range []bool{false, true} {
			c, err := Fit(points, Options{Clustered: clustered})
			require.NoError(t, err)
			x, err := c.TimeTo(85, 0.95)
			require.NoError(t, err)
			held[clustered] += count(x.Lower, crossing, x.Upper)
		}
	}
	// 4 standard errors of 300 draws, and 0.01 for the missing small-sample factor.
	assert.InDelta(t, 0.945, float64(held[true])/draws, 0.06)
	assert.Less(t, float64(held[false])/draws, 0.85)
}

func count(lower, value, upper float64) int {
	if lower <= value && value <= upper {
		return 1
	}
	return 0
}
