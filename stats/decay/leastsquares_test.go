package decay

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// line is b0 + b1 t.
func line() Model {
	return Model{Parameters: []string{"b0", "b1"}, Eval: func(b []float64, t float64, g []float64) float64 {
		g[0], g[1] = 1, t
		return b[0] + b[1]*t
	}}
}

// Through (0, 0), (1, 1), (2, 2), (3, 3) with a slope of at most ½, the best
// intercept is mean y − ½ mean t = ¾; with the slope held at ½ too.
func TestLeastSquaresAtABoundByHand(t *testing.T) {
	points := readings([2]float64{0, 0}, [2]float64{1, 1}, [2]float64{2, 2}, [2]float64{3, 3})
	inf := math.Inf(1)
	tol := check.Tolerance{Rel: 1e-9}
	// RSS is ¼ ∑ (t − 1.5)² = 1.25.
	for _, c := range []struct {
		lower float64
		state State
		df    int
	}{{-inf, AtBound, 2}, {0.5, Fixed, 3}} {
		sol, err := LeastSquares(line(), points, []float64{5, 0.5}, Settings{Lower: []float64{-inf, c.lower}, Upper: []float64{inf, 0.5}})
		require.NoError(t, err)
		assert.Equal(t, c.state, sol.Parameters[1].State)
		assert.Equal(t, 0.5, sol.Parameters[1].Value)
		check.Value(t, "intercept", sol.Parameters[0].Value, 0.75, tol)
		check.Value(t, "RSS", sol.RSS, 1.25, tol)
		assert.Equal(t, c.df, sol.DF)
		// As if the slope were known: the SE of a mean of four.
		check.Value(t, "SE", sol.Parameters[0].SE, math.Sqrt(1.25/float64(c.df)/4), tol)
		assert.Zero(t, sol.Covariance.At(1, 1))
	}
}

// Within any box the sum at the solution of a linear problem must not fall
// towards the inside: the conditions of Karush, Kuhn and Tucker, which for a
// convex sum are sufficient.
func TestLeastSquaresWithinABoxIsOptimal(t *testing.T) {
	cubic := Model{Parameters: []string{"a", "b", "c"}, Eval: func(b []float64, t float64, g []float64) float64 {
		g[0], g[1], g[2] = 1, t, t*t
		return b[0] + b[1]*t + b[2]*t*t
	}}
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
			return Point{
				Time:  math.Ldexp(float64(rapid.IntRange(-100, 100).Draw(t, "t")), -rapid.SampledFrom([]int{6, 9, 12}).Draw(t, "size")),
				Value: float64(rapid.IntRange(-99, 99).Draw(t, "y")), Weight: 1,
			}
		}), 4, 20).Draw(t, "points")
		var start, lower, upper [3]float64
		for j := range 3 {
			start[j] = float64(rapid.IntRange(-50, 50).Draw(t, "start"))
			lower[j] = start[j] - float64(rapid.IntRange(0, 20).Draw(t, "below"))
			upper[j] = start[j] + float64(rapid.IntRange(1, 20).Draw(t, "above"))
		}
		sol, err := LeastSquares(cubic, points, start[:], Settings{Lower: lower[:], Upper: upper[:]})
		require.NoError(t, err)

		slope, size := [3]float64{}, 1e-3
		for _, p := range points {
			powers := [3]float64{1, p.Time, p.Time * p.Time}
			r := p.Value
			for j := range 3 {
				r -= sol.Parameters[j].Value * powers[j]
			}
			for j := range 3 {
				slope[j] -= r * powers[j]
				size += math.Abs(r * powers[j])
			}
		}
		for j, p := range sol.Parameters {
			if slope[j] > 1e-6*size && p.Value > lower[j] || slope[j] < -1e-6*size && p.Value < upper[j] {
				t.Fatalf("parameter %d at %g of %g to %g, slope %g", j, p.Value, lower[j], upper[j], slope[j])
			}
		}
	})
}

// Nearly alike columns send Gauss–Newton steps far off in directions that the
// bounds forbid. Readings of 17 and three times 0 have mean 4¼, so the best
// constant within 0 to 1 is 1, and the other two columns change nothing.
func TestLeastSquaresInACornerByHand(t *testing.T) {
	cubic := Model{Parameters: []string{"a", "b", "c"}, Eval: func(b []float64, t float64, g []float64) float64 {
		g[0], g[1], g[2] = 1, t, t*t
		return b[0] + b[1]*t + b[2]*t*t
	}}
	const tiny = 0x1p-26
	points := readings([2]float64{2 * tiny, 17}, [2]float64{tiny, 0}, [2]float64{tiny, 0}, [2]float64{tiny, 0})
	sol, err := LeastSquares(cubic, points, []float64{0, 0, 0}, Settings{Lower: []float64{0, 0, 0}, Upper: []float64{1, 1, 1}})
	require.NoError(t, err)
	assert.Equal(t, 1.0, sol.Parameters[0].Value)
	check.Value(t, "RSS", sol.RSS, 16*16+3, check.Tolerance{Rel: 1e-6})
}

// Three equal columns share what they must do; pushed beyond what they may,
// each must come to its bound, though they do not arrive there together.
func TestLeastSquaresPushesAllToTheirBounds(t *testing.T) {
	triplets := Model{Parameters: []string{"a", "b", "c"}, Eval: func(b []float64, _ float64, g []float64) float64 {
		g[0], g[1], g[2] = 1, 1, 1
		return b[0] + b[1] + b[2]
	}}
	for _, sign := range []float64{1, -1} {
		points := readings([2]float64{1, 0}, [2]float64{1, 0}, [2]float64{1, sign * 24}, [2]float64{1, 0})
		sol, err := LeastSquares(triplets, points, []float64{0, 0, 0},
			Settings{Lower: []float64{-1, -1, -1}, Upper: []float64{1, 1, 1}})
		require.NoError(t, err)
		for _, p := range sol.Parameters {
			assert.Equal(t, sign, p.Value)
			assert.Equal(t, AtBound, p.State)
		}
	}
}

// Only the sum of these two parameters matters.
func TestLeastSquaresUndetermined(t *testing.T) {
	twins := Model{Parameters: []string{"a", "b"}, Eval: func(b []float64, _ float64, g []float64) float64 {
		g[0], g[1] = 1, 1
		return b[0] + b[1]
	}}
	points := readings([2]float64{0, 1}, [2]float64{1, 2}, [2]float64{2, 6})
	for _, clustered := range []bool{false, true} {
		sol, err := LeastSquares(twins, points, []float64{0, 0}, Settings{Clustered: clustered})
		require.NoError(t, err)
		assert.Nil(t, sol.Covariance)
		for _, p := range sol.Parameters {
			assert.Equal(t, Undetermined, p.State)
			assert.True(t, math.IsNaN(p.SE))
		}
		at, err := sol.Predict([]float64{1}, 0.95)
		require.NoError(t, err)
		check.Value(t, "mean", at[0].Value, 3, check.Tolerance{Rel: 1e-9})
		assert.True(t, math.IsNaN(at[0].SE) && math.IsNaN(at[0].Lower))
	}
}

func TestLeastSquaresRejects(t *testing.T) {
	points := readings([2]float64{0, 1}, [2]float64{1, 2}, [2]float64{2, 6})
	_, err := LeastSquares(line(), points[:2], []float64{0, 0}, Settings{})
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = LeastSquares(line(), points, []float64{0, 0}, Settings{Lower: []float64{1, 0}, Upper: []float64{2, 0}})
	assert.ErrorContains(t, err, "start value 0 of b0 is not within 1 to 2")
	_, err = LeastSquares(line(), points, []float64{math.NaN(), 0}, Settings{})
	assert.ErrorContains(t, err, "start value NaN of b0")
	_, err = LeastSquares(line(), append(points, Point{Time: math.NaN(), Weight: 1}), []float64{0, 0}, Settings{})
	var pointError *PointError
	assert.ErrorAs(t, err, &pointError)

	undefined := Model{Parameters: []string{"a"}, Eval: func(b []float64, _ float64, g []float64) float64 {
		g[0] = 1
		return math.Log(b[0])
	}}
	_, err = LeastSquares(undefined, points, []float64{-1}, Settings{})
	assert.ErrorContains(t, err, "no finite value at the start")

	assert.Panics(t, func() { _, _ = LeastSquares(line(), points, []float64{0}, Settings{}) })
	assert.Panics(t, func() { _, _ = LeastSquares(line(), points, []float64{0, 0}, Settings{Lower: []float64{0}}) })
}

// A hard case (NIST's MGH09 from its first start) cut short must say so.
func TestLeastSquaresSaysThatItDidNotConverge(t *testing.T) {
	for _, c := range nlsChecks(t) {
		if c.name != "decay-curves/nist-mgh09/start1" {
			continue
		}
		sol, err := LeastSquares(Model{Parameters: c.in.Parameters, Eval: referenceModels[c.in.Model]}, c.points,
			[]float64{25, 39, 41.5, 39}, Settings{MaxIterations: 3})
		assert.Nil(t, sol)
		var notConverged *NotConvergedError
		require.ErrorAs(t, err, &notConverged)
		assert.Equal(t, StopIterations, notConverged.Stop)
		assert.Equal(t, 3, notConverged.Iterations)
		assert.Len(t, notConverged.Parameters, 4)
		return
	}
	t.Fatal("the case is missing")
}
