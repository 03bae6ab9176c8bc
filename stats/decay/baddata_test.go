package decay

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Readings as they should not be must give every shape, with a floor and
// without, under each loss, a curve or a named reason, and what follows from a
// curve no NaN but where a State or an outcome explains it.
func TestBadReadingsInEveryShape(t *testing.T) {
	fifty := 50.0
	for name, c := range map[string]struct {
		points []Point
		falls  bool  // where there is a curve
		reason error // nil: a curve in at least some shape
	}{
		"constant":        {readings([2]float64{0, 105}, [2]float64{30, 105}, [2]float64{60, 105}, [2]float64{90, 105}, [2]float64{120, 105}, [2]float64{150, 105}), false, nil},
		"rising":          {readings([2]float64{0, 90}, [2]float64{30, 93}, [2]float64{60, 95}, [2]float64{90, 99}, [2]float64{120, 101}, [2]float64{150, 106}), false, nil},
		"all at 0":        {readings([2]float64{0, 0}, [2]float64{30, 0}, [2]float64{60, 0}, [2]float64{90, 0}, [2]float64{120, 0}, [2]float64{150, 0}), false, nil},
		"all at 180":      {readings([2]float64{0, 180}, [2]float64{30, 180}, [2]float64{60, 180}, [2]float64{90, 180}, [2]float64{120, 180}, [2]float64{150, 180}), false, nil},
		"from 180 to 0":   {readings([2]float64{0, 180}, [2]float64{30, 140}, [2]float64{60, 90}, [2]float64{90, 40}, [2]float64{120, 10}, [2]float64{150, 0}), true, nil},
		"below all along": {readings([2]float64{0, 70}, [2]float64{30, 66}, [2]float64{60, 63}, [2]float64{90, 61}, [2]float64{120, 60}, [2]float64{150, 59}), true, nil},
		"two points":      {readings([2]float64{0, 110}, [2]float64{30, 90}), true, ErrTooFew},
		"two times":       {readings([2]float64{0, 110}, [2]float64{0, 108}, [2]float64{30, 90}, [2]float64{30, 91}, [2]float64{30, 92}), true, ErrTooFew},
		"one time":        {readings([2]float64{30, 110}, [2]float64{30, 108}, [2]float64{30, 90}, [2]float64{30, 91}, [2]float64{30, 92}), true, ErrTooFew},
		"twins": {readings([2]float64{0, 110}, [2]float64{0, 110}, [2]float64{60, 95}, [2]float64{60, 95}, [2]float64{120, 85}, [2]float64{120, 85},
			[2]float64{180, 78}, [2]float64{180, 78}, [2]float64{240, 73}, [2]float64{240, 73}), true, nil},
	} {
		t.Run(name, func(t *testing.T) {
			for _, shape := range Shapes() {
				for _, floor := range []*float64{nil, &fifty} {
					for _, loss := range []Loss{Squares, Huber, Tukey} {
						curve, err := Fit(c.points, Options{Shape: shape, Floor: floor, Loss: loss})
						if c.reason != nil || errors.Is(err, ErrFloor) {
							assert.True(t, errors.Is(err, ErrFloor) || errors.Is(err, c.reason), "%s: %v", shape, err)
							continue
						}
						require.NoError(t, err, "%s", shape)
						assert.Equal(t, c.falls, curve.Falls, "%s %s", shape, loss)
						for _, threshold := range []float64{0, 90, 180} {
							x, err := curve.TimeTo(threshold, 0.95)
							require.NoError(t, err)
							assert.False(t, math.IsNaN(x.Time), "%s %+v", shape, x)
							assert.NotEmpty(t, x.Outcome)
						}
					}
				}
			}
		})
	}
}

// Below a threshold from the first reading on, a curve that is extrapolated to
// time 0 may still have crossed it; it must be told which.
func TestBelowFromTheFirstReading(t *testing.T) {
	points := readings([2]float64{60, 84}, [2]float64{90, 80}, [2]float64{120, 77}, [2]float64{180, 72}, [2]float64{240, 69}, [2]float64{300, 67})
	for _, shape := range Shapes() {
		curve, err := Fit(points, Options{Shape: shape})
		require.NoError(t, err)
		x, err := curve.TimeTo(90, 0.95)
		require.NoError(t, err)
		switch x.Outcome {
		case Crosses:
			assert.Less(t, x.Time, 60.0)
			assert.True(t, x.Extrapolated)
		case BelowFromStart:
			assert.True(t, x.Extrapolated)
		default:
			t.Errorf("%s: %+v", shape, x)
		}
	}
}
