package decay

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// By hand: from 110 to a floor of 60 with τ = 200, half of the way, to 85, is
// done after 200 ln 2.
func TestTimeToByHand(t *testing.T) {
	var points []Point
	for day := 0.0; day <= 600; day += 60 {
		points = append(points, Point{Time: day, Value: 60 + 50*math.Exp(-day/200), Weight: 1})
	}
	curve, err := Fit(points, Options{})
	require.NoError(t, err)

	for threshold, want := range map[float64]Crossing{
		85:     {Outcome: Crosses, Time: 200 * math.Ln2},
		61:     {Outcome: Crosses, Time: 200 * math.Log(50), Extrapolated: true},
		59.99:  {Outcome: NotReached, Time: math.Inf(1), Extrapolated: true},
		110.01: {Outcome: BelowFromStart},
	} {
		got, err := curve.TimeTo(threshold, 0.95)
		require.NoError(t, err)
		assert.Equal(t, want.Outcome, got.Outcome, "%g", threshold)
		assert.Equal(t, want.Extrapolated, got.Extrapolated, "%g", threshold)
		check.Value(t, "time", got.Time, want.Time, check.Tolerance{Rel: 1e-7})
	}
}

// At its crossing the curve is at the threshold, and the limits enclose it.
func TestTimeToIsOnTheCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		curve, err := Fit(fleetLike(t), Options{Clustered: rapid.Bool().Draw(t, "clustered")})
		require.NoError(t, err)
		threshold := rapid.Float64Range(curve.Floor.Value+1, curve.Start.Value-1).Draw(t, "threshold")
		x, err := curve.TimeTo(threshold, 0.95)
		require.NoError(t, err)
		at, err := curve.Predict([]float64{x.Time}, 0.95)
		require.NoError(t, err)
		wantNear(t, "curve", at[0].Value, threshold, check.Tolerance{Rel: 1e-9})
		if !(0 < x.Lower && x.Lower < x.Time && x.Time < x.Upper) {
			t.Fatalf("limits %+v", x)
		}
		wantNear(t, "limits on the scale of log T", x.Lower*x.Upper, x.Time*x.Time, check.Tolerance{Rel: 1e-9})
	})
}

func TestTimeToRejects(t *testing.T) {
	curve, err := Fit(readings([2]float64{0, 110}, [2]float64{100, 90}, [2]float64{200, 80}, [2]float64{300, 75}), Options{})
	require.NoError(t, err)
	for _, threshold := range []float64{-1, 181, math.NaN(), math.Inf(1)} {
		_, err := curve.TimeTo(threshold, 0.95)
		assert.ErrorContains(t, err, "threshold")
	}
	for _, level := range []float64{0, 1, -0.5, 95, math.NaN()} {
		_, err := curve.TimeTo(90, level)
		assert.ErrorContains(t, err, "level")
		_, err = curve.Predict([]float64{90}, level)
		assert.ErrorContains(t, err, "level")
		_, _, err = curve.Tau.Limits(level)
		assert.ErrorContains(t, err, "level")
	}
	_, err = curve.Predict([]float64{math.Inf(1)}, 0.95)
	assert.ErrorContains(t, err, "no value at time")
}
