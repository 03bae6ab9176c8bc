package decay

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// The heat of hardening cement against its four constituents (Woods, Steinour
// and Starke 1932; "Hald's data"), as in Burnham and Anderson, Model Selection
// and Multimodel Inference, 2nd ed. (2002) section 4.2: over all sets of
// predictors with the first, the average of its coefficient is 1.4561 with
// unconditional SE 0.1755 (from memory, as are the separate estimates; the data
// are in many textbooks). The book goes on from rounded figures.
func TestAverageOfCementCoefficients(t *testing.T) {
	rows := [][5]float64{
		{7, 26, 6, 60, 78.5}, {1, 29, 15, 52, 74.3}, {11, 56, 8, 20, 104.3}, {11, 31, 8, 47, 87.6}, {7, 52, 6, 33, 95.9},
		{11, 55, 9, 22, 109.2}, {3, 71, 17, 6, 102.7}, {1, 31, 22, 44, 72.5}, {2, 54, 18, 22, 93.1}, {21, 47, 4, 26, 115.9},
		{1, 40, 23, 34, 83.8}, {11, 66, 9, 12, 113.3}, {10, 68, 8, 12, 109.4},
	}
	points := make([]Point, len(rows))
	for i, row := range rows {
		points[i] = Point{Time: float64(i), Value: row[4], Weight: 1}
	}
	var parts []part
	var criteria []float64
	separate := map[string]float64{"12": 1.4683, "124": 1.4519, "123": 1.6959, "14": 1.4400, "134": 1.0519, "1234": 1.5511}
	for _, others := range [][]int{nil, {2}, {3}, {4}, {2, 3}, {2, 4}, {3, 4}, {2, 3, 4}} {
		chosen := append([]int{1}, others...)
		model := Model{
			Parameters: slices.Repeat([]string{"b"}, len(chosen)+1),
			Eval: func(β []float64, t float64, gradient []float64) float64 {
				y := β[len(chosen)]
				gradient[len(chosen)] = 1
				for k, column := range chosen {
					gradient[k] = rows[int(t)][column-1]
					y += β[k] * gradient[k]
				}
				return y
			},
		}
		sol, err := LeastSquares(model, points, make([]float64, len(chosen)+1), Settings{})
		require.NoError(t, err)
		name := ""
		for _, column := range chosen {
			name += string(rune('0' + column))
		}
		if want, known := separate[name]; known {
			check.Value(t, name, sol.Parameters[0].Value, want, check.Tolerance{Abs: 6e-5})
		}
		parts = append(parts, part{value: sol.Parameters[0].Value, se: sol.Parameters[0].SE, t: 1})
		criteria = append(criteria, sol.AICc)
	}
	for i := range parts {
		parts[i].weight = math.Exp((slices.Min(criteria) - criteria[i]) / 2)
	}
	mean, se, _ := average(parts, 1)
	check.Value(t, "average", mean, 1.4561, check.Tolerance{Abs: 6e-5})
	check.Value(t, "unconditional SE", se, 0.1755, check.Tolerance{Abs: 2e-4})
}

// everyShape asks for all of them.
func everyShape() []Options {
	var all []Options
	for _, shape := range Shapes() {
		all = append(all, Options{Shape: shape})
	}
	return all
}

// Readings drawn from a shape must give it the most weight in most draws: of a
// shape with one parameter too many AICc prefers that in about one of seven,
// the chance of χ² on 1 df above 2.2. Forty draws have 30 or more with
// probability 0.96 at 6 of 7, and each fixed seed here does.
func TestCompareFindsTheShape(t *testing.T) {
	for shape, β := range map[Shape][]float64{
		LinearShape:      {110, 0.06},
		ExponentialShape: {60, 110, 200},
		StretchedShape:   {60, 110, 200, 0.5},
		LogisticShape:    {60, 110, 300, 60},
	} {
		t.Run(string(shape), func(t *testing.T) {
			random := rand.New(rand.NewPCG(5, 26))
			won := 0
			for range 40 {
				points := make([]Point, 60)
				for i := range points {
					day := 12 * float64(i)
					points[i] = Point{Time: day, Value: shape.Model().Eval(β, day, make([]float64, len(β))) + random.NormFloat64(), Weight: 1}
				}
				c, err := Compare(points, everyShape()...)
				require.NoError(t, err)
				if c.Best().Shape == shape {
					won++
				}
			}
			assert.GreaterOrEqual(t, won, 30)
		})
	}
}

// Weights are e^(−Δ/2) of the AICc that the solutions have.
func TestWeightsFollowAICc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, err := Compare(fleetLike(t), everyShape()...)
		require.NoError(t, err)
		sum := 0.0
		for _, f := range c.Fits {
			sum += f.Weight
			delta := f.Curve.Solution.AICc - c.Best().Solution.AICc
			wantNear(t, "delta", f.Delta, delta, check.Tolerance{})
			wantNear(t, "weight", f.Weight, c.Fits[0].Weight*math.Exp(-delta/2), check.Tolerance{Rel: 1e-12})
		}
		wantNear(t, "sum", sum, 1, check.Tolerance{Rel: 1e-12})
	})
}

// The average of one curve is that curve's time; limits by Student's quantile.
func TestAverageOfOneCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := fleetLike(t)
		c, err := Compare(points, Options{})
		require.NoError(t, err)
		got, err := c.TimeTo(85, 0.95)
		require.NoError(t, err)
		want, err := c.Best().TimeTo(85, 0.95)
		require.NoError(t, err)
		tol := check.Tolerance{Rel: 1e-12}
		wantNear(t, "time", got.Time, want.Time, tol)
		wantNear(t, "SE", got.SE, want.SE, tol)
		wantNear(t, "lower", got.Lower, want.Lower, tol)
		wantNear(t, "upper", got.Upper, want.Upper, tol)
		wantNear(t, "weight", got.Crosses, 1, tol)
	})
}

// By hand: weights 3/4 and 1/4, times 100 and 140 with errors 10 and 20. The
// mean is 110, the error (3/4) √(100 + 100) + (1/4) √(400 + 900) = 19.6206.
func TestAverageByHand(t *testing.T) {
	mean, se, widened := average([]part{{0.6, 100, 10, 2}, {0.2, 140, 20, 2}}, 2)
	check.Value(t, "mean", mean, 110, check.Tolerance{Rel: 1e-12})
	check.Value(t, "SE", se, 0.75*math.Sqrt(200)+0.25*math.Sqrt(1300), check.Tolerance{Rel: 1e-12})
	check.Value(t, "widened by 1", widened, se, check.Tolerance{Rel: 1e-12})
}

// A level that only the line reaches: the others' weight is told.
func TestAverageTellsWhatNeverCrosses(t *testing.T) {
	points := readings([2]float64{0, 110.4}, [2]float64{60, 103.1}, [2]float64{120, 97.6}, [2]float64{180, 91.2}, [2]float64{240, 87.9},
		[2]float64{300, 83.1}, [2]float64{360, 81.4}, [2]float64{420, 78.2})
	c, err := Compare(points, everyShape()...)
	require.NoError(t, err)
	x, err := c.TimeTo(50, 0.95)
	require.NoError(t, err)
	assert.InDelta(t, 1, x.Crosses+x.NotReached+x.BelowFromStart, 1e-12)
	assert.Greater(t, x.NotReached, 0.5, "%+v", x)
	assert.Equal(t, NotReached, x.Outcome)
	assert.True(t, math.IsInf(x.Time, 1) && math.IsNaN(x.SE) && math.IsNaN(x.Lower))

	x, err = c.TimeTo(85, 0.95)
	require.NoError(t, err)
	assert.Equal(t, Crosses, x.Outcome)
	assert.True(t, x.Lower < x.Time && x.Time < x.Upper, "%+v", x)
}

func TestCompareOfFewReadings(t *testing.T) {
	points := readings([2]float64{0, 110}, [2]float64{100, 92}, [2]float64{200, 80}, [2]float64{300, 75})
	c, err := Compare(points, everyShape()...)
	require.NoError(t, err)
	assert.Equal(t, LinearShape, c.Best().Shape)
	assert.Equal(t, 1.0, c.Fits[0].Weight)
	assert.Contains(t, strings.Join(c.Notes, "; "), "too few to weigh")
	tenth := 10.0
	c, err = Compare(points[1:], Options{Shape: LinearShape}, Options{Shape: LogisticShape}, Options{Floor: &tenth})
	require.NoError(t, err)
	assert.Contains(t, c.Notes[0], "logistic is left out: fit decay: 3 distinct times, 5 are needed: too few readings")

	_, err = Compare(points[:2], everyShape()...)
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = Compare(points)
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = Compare(points, Options{Loss: Huber})
	assert.ErrorContains(t, err, "loss huber")
	_, err = Compare([]Point{{Value: 200, Weight: 1}}, Options{})
	assert.ErrorContains(t, err, "angle 200")
}

func TestCompareWithoutFall(t *testing.T) {
	points := readings([2]float64{0, 90}, [2]float64{50, 92}, [2]float64{100, 95}, [2]float64{150, 97}, [2]float64{200, 99}, [2]float64{300, 104})
	c, err := Compare(points, everyShape()...)
	require.NoError(t, err)
	require.Len(t, c.Fits, 1, "all shapes are the same constant")
	assert.False(t, c.Best().Falls)
}
