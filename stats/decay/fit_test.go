package decay

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// TestFitOnAnything draws points of every shape, and wants either a named
// reason or a curve within its bounds with nothing undefined but what its
// State explains.
func TestFitOnAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := anyPoints(t)
		options := Options{
			Shape: rapid.SampledFrom(Shapes()).Draw(t, "shape"), Clustered: rapid.Bool().Draw(t, "clustered"),
			Loss: rapid.SampledFrom([]Loss{Squares, Huber, Tukey}).Draw(t, "loss"),
		}
		if rapid.Bool().Draw(t, "fixed") {
			floor := float64(rapid.IntRange(0, 17900).Draw(t, "floor")) / 100
			options.Floor = &floor
		}
		curve, err := Fit(points, options)
		if err != nil {
			if !errors.Is(err, ErrTooFew) && !errors.Is(err, ErrFloor) {
				t.Fatalf("no named reason: %v", err)
			}
			return
		}
		sensible(t, curve)
	})
}

func anyPoints(t *rapid.T) []Point {
	time := rapid.OneOf(
		rapid.Map(rapid.IntRange(0, 1_000_000), func(thousandth int) float64 { return float64(thousandth) / 1000 }),
		rapid.Map(rapid.IntRange(0, 6), func(month int) float64 { return 30 * float64(month) }),
	)
	angle := rapid.OneOf(
		rapid.Map(rapid.IntRange(0, 18000), func(hundredth int) float64 { return float64(hundredth) / 100 }),
		rapid.SampledFrom([]float64{0, 60, 90, 105, 180}),
	)
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
		return Point{
			Time: time.Draw(t, "time"), Value: angle.Draw(t, "angle"),
			Weight:  float64(rapid.IntRange(1, 12).Draw(t, "weight")),
			Cluster: rapid.IntRange(1, 4).Draw(t, "cluster"),
		}
	}), 0, 30).Draw(t, "points")
}

func sensible(t *rapid.T, c *Curve) {
	const slack = 1e-6
	switch {
	case !c.Falls:
	case c.Start.Value > 180 || c.Shape != LinearShape && !(c.Floor.Value >= 0 && c.Floor.Value <= c.Start.Value+slack):
		t.Fatalf("falls from %g to %g", c.Start.Value, c.Floor.Value)
	case c.Shape == LinearShape && c.Solution.Parameters[rateAt].Value <= 0:
		t.Fatalf("rises by %g", c.Solution.Parameters[rateAt].Value)
	}
	for _, p := range c.Solution.Parameters {
		if !finite(p.Value) || finite(p.SE) != (p.State == Estimated) {
			t.Fatalf("parameter %+v", p)
		}
	}
	list, err := c.Predict([]float64{0, c.First, c.Last, 2 * c.Last}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range list {
		if !finite(p.Value) || finite(p.Lower) != (c.Solution.Covariance != nil) {
			t.Fatalf("prediction %+v", p)
		}
	}
	x, err := c.TimeTo(90, 0.95)
	if err != nil || math.IsNaN(x.Time) || x.Outcome == "" {
		t.Fatalf("crossing %+v, %v", x, err)
	}
}

// fleetLike draws readings of one falling coating, with enough early ones to
// keep the curve away from all bounds.
func fleetLike(t *rapid.T) []Point {
	random := rand.New(rand.NewPCG(1, rapid.Uint64().Draw(t, "seed")))
	floor := rapid.Float64Range(45, 70).Draw(t, "floor")
	start := rapid.Float64Range(95, 115).Draw(t, "start")
	tau := rapid.Float64Range(100, 400).Draw(t, "tau")
	points := make([]Point, 24)
	for i := range points {
		time := 25 * float64(i)
		if i >= 12 {
			time = float64(random.IntN(900))
		}
		points[i] = Point{
			Time: time, Value: floor + (start-floor)*math.Exp(-time/tau) + 0.5*random.NormFloat64(),
			Weight: float64(1 + random.IntN(9)), Cluster: random.IntN(6),
		}
	}
	return points
}

// same wants two curves and their times to 90 degrees to be equal, after
// multiplying the second's times with scale and adding shift to its angles.
func same(t *rapid.T, a, b *Curve, scale, shift float64) {
	x, err := a.TimeTo(90, 0.9)
	require.NoError(t, err)
	y, err := b.TimeTo(90-shift, 0.9)
	require.NoError(t, err)
	for _, pair := range [][2]float64{
		{a.Floor.Value, b.Floor.Value + shift}, {a.Floor.SE, b.Floor.SE},
		{a.Start.Value, b.Start.Value + shift}, {a.Start.SE, b.Start.SE},
		{a.Tau.Value, b.Tau.Value * scale}, {a.Tau.SE, b.Tau.SE * scale},
		{x.Time, y.Time * scale}, {x.SE, y.SE * scale}, {x.Lower, y.Lower * scale}, {x.Upper, y.Upper * scale},
		{a.Solution.RSS, b.Solution.RSS},
	} {
		if !check.Near(pair[0], pair[1], check.Tolerance{Rel: 1e-7}) {
			t.Fatalf("%v differ in %v", pair, [][2]*Curve{{a, b}})
		}
	}
}

// wantNear is check.Value for a property.
func wantNear(t *rapid.T, what string, got, want float64, tol check.Tolerance) {
	if !check.Near(got, want, tol) {
		t.Fatalf("%s: got %v, want %v (rel %g, abs %g)", what, got, want, tol.Rel, tol.Abs)
	}
}

func TestFitFollowsUnitsAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := fleetLike(t)
		options := Options{Clustered: rapid.Bool().Draw(t, "clustered")}
		curve, err := Fit(points, options)
		require.NoError(t, err)

		const days = 30.4375 // in a month
		months, shifted, turned := slices.Clone(points), slices.Clone(points), slices.Clone(points)
		for i := range points {
			months[i].Time /= days
			shifted[i].Value -= 7
		}
		slices.Reverse(turned)
		for _, other := range []struct {
			points       []Point
			scale, shift float64
		}{{months, days, 0}, {shifted, 1, 7}, {turned, 1, 0}} {
			again, err := Fit(other.points, options)
			require.NoError(t, err)
			same(t, curve, again, other.scale, other.shift)
		}
	})
}

// A mean of k readings with weight k must give the curve of the k readings.
func TestFitWeighsMeansLikeTheirReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := fleetLike(t)
		var single []Point
		for _, p := range points {
			single = append(single, slices.Repeat([]Point{{p.Time, p.Value, 1, 0}}, int(p.Weight))...)
		}
		means, err := Fit(points, Options{})
		require.NoError(t, err)
		readings, err := Fit(single, Options{})
		require.NoError(t, err)
		for j, p := range means.Solution.Parameters {
			wantNear(t, p.Name, readings.Solution.Parameters[j].Value, p.Value, check.Tolerance{Rel: 1e-8})
		}
	})
}

// Noise-free readings must give back the curve that made them.
func TestFitRecoversAnExactCurve(t *testing.T) {
	exact := func(floor, start, tau float64) []Point {
		points := make([]Point, 10)
		for i := range points {
			time := 90 * float64(i)
			points[i] = Point{Time: time, Value: floor + (start-floor)*math.Exp(-time/tau), Weight: 1}
		}
		return points
	}
	for _, c := range [][3]float64{{60, 110, 200}, {0, 110, 500}, {75, 78, 30}, {20, 180, 3000}} {
		curve, err := Fit(exact(c[0], c[1], c[2]), Options{})
		require.NoError(t, err)
		tol := check.Tolerance{Rel: 1e-6, Abs: 1e-6}
		check.Value(t, "floor", curve.Floor.Value, c[0], tol)
		check.Value(t, "start", curve.Start.Value, c[1], tol)
		check.Value(t, "tau", curve.Tau.Value, c[2], tol)
	}
}

// readings makes points of weight 1 from pairs of time and angle.
func readings(pairs ...[2]float64) []Point {
	points := make([]Point, len(pairs))
	for i, p := range pairs {
		points[i] = Point{Time: p[0], Value: p[1], Weight: 1, Cluster: i % 2}
	}
	return points
}

func TestFitRejects(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := readings([2]float64{0, 110}, [2]float64{100, 90}, [2]float64{200, 80}, [2]float64{300, 75})
	for name, bad := range map[string]Point{
		"negative time": {-1, 90, 1, 0}, "NaN time": {nan, 90, 1, 0}, "infinite time": {inf, 90, 1, 0},
		"negative angle": {1, -1, 1, 0}, "angle over 180": {1, 180.5, 1, 0}, "NaN angle": {1, nan, 1, 0},
		"no weight": {1, 90, 0, 0}, "negative weight": {1, 90, -1, 0}, "NaN weight": {1, 90, nan, 0}, "infinite weight": {1, 90, inf, 0},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Fit(append(slices.Clone(good), bad), Options{})
			var pointError *PointError
			require.ErrorAs(t, err, &pointError)
			assert.Equal(t, 4, pointError.Index)
		})
	}

	sixty, ninety, off := 60.0, 95.0, 200.0
	_, err := Fit(good[:2], Options{})
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = Fit(good[:3], Options{Floor: &sixty})
	assert.NoError(t, err)
	_, err = Fit(append(slices.Clone(good[:2]), good[:2]...), Options{Floor: &sixty})
	assert.ErrorIs(t, err, ErrTooFew, "two times, read twice")
	_, err = Fit(nil, Options{})
	assert.ErrorIs(t, err, ErrTooFew)

	alone := slices.Clone(good)
	for i := range alone {
		alone[i].Cluster = 7
	}
	_, err = Fit(alone, Options{Clustered: true})
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = Fit(good[1:], Options{Floor: &ninety})
	assert.ErrorIs(t, err, ErrFloor)
	_, err = Fit(good, Options{Floor: &off})
	assert.ErrorContains(t, err, "floor 200 is not an angle")
}
