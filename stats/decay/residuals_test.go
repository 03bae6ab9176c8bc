package decay

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// stoppingDistances are 50 cars' speeds and stopping distances: Ezekiel,
// Methods of Correlation Analysis (1930), the data set "cars" of R.
func stoppingDistances() []Point {
	speed := []float64{
		4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16,
		17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25,
	}
	distance := []float64{
		2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40,
		32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85,
	}
	points := make([]Point, len(speed))
	for i := range points {
		points[i] = Point{Time: speed[i], Value: distance[i], Weight: 1}
	}
	return points
}

// The line through R's cars has intercept −17.5791 and slope 3.9324; lmtest's
// bptest of it prints BP = 3.2149, p = 0.07297, and car's outlierTest finds row
// 49 with rstudent 3.184993, p 0.0025707, times 50 0.12853: all printed in
// public tutorials.
func TestResidualsOfStoppingDistances(t *testing.T) {
	sol, err := LeastSquares(Linear(), stoppingDistances(), []float64{0, 0}, Settings{})
	require.NoError(t, err)
	check.Value(t, "intercept", sol.Parameters[0].Value, -17.5791, check.Tolerance{Abs: 6e-5})
	check.Value(t, "slope", -sol.Parameters[1].Value, 3.9324, check.Tolerance{Abs: 6e-5})

	checks := sol.CheckResiduals()
	require.Len(t, checks, 4)
	spread, outlier := checks[1], checks[3]
	check.Value(t, "BP", spread.Statistic, 3.2149, check.Tolerance{Abs: 6e-5})
	check.Value(t, "p of BP", spread.PValue, 0.07297, check.Tolerance{Abs: 6e-6})
	assert.Equal(t, 48, outlier.Point)
	check.Value(t, "rstudent", outlier.Statistic, 3.184993, check.Tolerance{Abs: 6e-7})
	check.Value(t, "Bonferroni p", outlier.PValue, 0.12853, check.Tolerance{Abs: 6e-6})
}

// Miles per gallon of the 74 automobiles of 1978 that Stata ships: mean 21.2973,
// SD 5.785503, and its sfrancia prints W′ = 0.94872, p = 0.00604. Data and
// figures from memory; that they agree with each other is the check on that.
func TestShapiroFranciaOfMileage(t *testing.T) {
	mpg := []float64{
		22, 17, 22, 20, 15, 18, 26, 20, 16, 19, 14, 14, 21, 29, 16, 22, 22, 24, 19, 30, 18, 16, 17, 28, 21, 12, 12, 14, 22, 14, 15, 18,
		14, 20, 21, 19, 19, 18, 19, 24, 16, 28, 34, 25, 26, 18, 18, 18, 19, 19, 19, 24, 17, 23, 25, 23, 35, 24, 21, 21, 25, 28, 30, 14,
		26, 35, 18, 31, 18, 23, 41, 25, 25, 17,
	}
	mean, sd := stat.MeanStdDev(mpg, nil)
	check.Value(t, "mean", mean, 21.2973, check.Tolerance{Abs: 6e-5})
	check.Value(t, "SD", sd, 5.785503, check.Tolerance{Abs: 6e-7})
	w, p := shapiroFrancia(mpg)
	check.Value(t, "W′", w, 0.94872, check.Tolerance{Abs: 6e-6})
	check.Value(t, "p", p, 0.00604, check.Tolerance{Abs: 6e-6})
}

// Swed and Eisenhart's table of 1943, as reprinted in Draper and Smith, Applied
// Regression Analysis (figures from memory): the probability of so few runs.
func TestRunsAsInPrint(t *testing.T) {
	for _, c := range []struct {
		n1, n2, runs int
		p            float64
	}{
		{5, 5, 2, 0.008}, {5, 5, 3, 0.040}, {5, 5, 4, 0.167}, {5, 5, 5, 0.357}, {10, 10, 6, 0.019}, {10, 10, 7, 0.051}, {3, 5, 2, 0.036}, {4, 6, 3, 0.048},
	} {
		check.Value(t, "p", runsBelow(c.n1, c.n2, c.runs), c.p, check.Tolerance{Abs: 5.1e-4})
	}
}

// Against counting all orders of the signs.
func TestRunsByCounting(t *testing.T) {
	for n1 := 1; n1 <= 6; n1++ {
		for n2 := 1; n2 <= 6; n2++ {
			orders, few := 0, map[int]int{}
			for bits := range 1 << (n1 + n2) {
				signs := make([]bool, n1+n2)
				for i := range signs {
					signs[i] = bits>>i&1 == 1
				}
				if above, _, runs := countRuns(signs); above == n1 {
					orders++
					for r := runs; r <= n1+n2; r++ {
						few[r]++
					}
				}
			}
			for r := 2; r <= n1+n2; r++ {
				check.Value(t, "p", runsBelow(n1, n2, r), float64(few[r])/float64(orders), check.Tolerance{Rel: 1e-12})
			}
		}
	}
}

// oneDegree makes noise with an SD of 1°.
func oneDegree(_, normal float64) float64 { return normal }

// Each fault must be found by its check.
func TestResidualChecksFindFaults(t *testing.T) {
	for name, c := range map[string]struct {
		options Options
		noise   func(day, normal float64) float64
		at      int
		note    string
	}{
		"wrong shape":     {Options{Shape: LinearShape}, oneDegree, 0, "its shape is wrong"},
		"growing scatter": {Options{}, func(day, normal float64) float64 { return normal * (0.2 + day/200) }, 1, "scatter more where the curve is low"},
		"heavy tails":     {Options{}, func(_, normal float64) float64 { return normal * normal * normal }, 2, "not bell-shaped"},
		"one odd reading": {Options{}, func(day, normal float64) float64 {
			if day == 300 {
				return -12
			}
			return normal
		}, 3, "at time 300 is odd"},
	} {
		t.Run(name, func(t *testing.T) {
			curve, err := Fit(drawn(rand.New(rand.NewPCG(8, 26)), 60, 10, c.noise), c.options)
			require.NoError(t, err)
			found := curve.Solution.CheckResiduals()[c.at]
			assert.Less(t, found.PValue, 0.05)
			assert.Contains(t, found.Note, c.note)
		})
	}
}

// With nothing wrong each check cries out in about 5 of 100 draws: of 1000 in
// 29 to 71 (3 standard errors); runs are counted, so its share is at most that,
// and the outlier's bound on P is no more than that either.
func TestResidualChecksKeepStill(t *testing.T) {
	const draws = 1000
	random := rand.New(rand.NewPCG(9, 26))
	cried := map[ResidualKind]int{}
	for range draws {
		curve, err := Fit(drawn(random, 40, 10, oneDegree), Options{})
		require.NoError(t, err)
		for _, c := range curve.Solution.CheckResiduals() {
			if c.PValue < 0.05 {
				cried[c.Kind]++
			}
		}
	}
	for kind, n := range cried {
		assert.LessOrEqual(t, n, 71, kind)
	}
	for _, kind := range []ResidualKind{Spread, Normality, Outliers} {
		assert.GreaterOrEqual(t, cried[kind], 29, kind)
	}
}

func TestResidualChecksOfFewReadings(t *testing.T) {
	few := readings([2]float64{0, 110}, [2]float64{100, 90}, [2]float64{200, 80}, [2]float64{300, 75}, [2]float64{400, 73})
	curve, err := Fit(few, Options{})
	require.NoError(t, err)
	for _, c := range curve.Solution.CheckResiduals() {
		assert.True(t, math.IsNaN(c.PValue) && math.IsNaN(c.Statistic))
		assert.Contains(t, c.Note, "too few readings to check")
	}
	curve, err = Fit(drawn(rand.New(rand.NewPCG(8, 26)), 60, 10, oneDegree), Options{Loss: Huber})
	require.NoError(t, err)
	checks := curve.Solution.CheckResiduals()
	assert.Greater(t, checks[0].PValue, 0.05)
	assert.Contains(t, checks[1].Note, "not checked under the loss huber")
}

// Whatever was fitted, a check has numbers or says why not, and never panics.
func TestResidualChecksOnAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		curve, err := Fit(anyPoints(t), Options{
			Shape: rapid.SampledFrom(Shapes()).Draw(t, "shape"), Loss: rapid.SampledFrom([]Loss{Squares, Huber}).Draw(t, "loss"),
		})
		if err != nil {
			t.Skip(err)
		}
		for _, c := range curve.Solution.CheckResiduals() {
			if c.Note == "" || finite(c.PValue) != finite(c.Statistic) || finite(c.PValue) && !(c.PValue >= 0 && c.PValue <= 1) {
				t.Fatalf("%+v", c)
			}
		}
	})
}
