package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"
)

// plotArea is as large as the survival plot's on a phone, the tightest.
var plotArea = vg.Rectangle{Min: vg.Point{X: 90, Y: 130}, Max: vg.Point{X: 346, Y: 390}}

// stairs is a curve from the top left that falls by the given shares of the
// area at the given shares of its width.
func stairs(steps ...[2]float64) []vg.Point {
	size := plotArea.Max.Sub(plotArea.Min)
	here := vg.Point{X: plotArea.Min.X, Y: plotArea.Max.Y}
	curve := []vg.Point{here}
	for _, s := range steps {
		here.X = min(plotArea.Max.X, here.X+size.X*vg.Length(s[0]))
		curve = append(curve, here)
		here.Y = max(plotArea.Min.Y, here.Y-size.Y*vg.Length(s[1]))
		curve = append(curve, here)
	}
	return curve
}

// requireRoom: every name has a place within the axes, and none overlaps
// another.
func requireRoom(t require.TestingT, curves [][]vg.Point, sizes []vg.Point) []*namePlace {
	places := placeNames(plotArea, curves, sizes)
	for i, place := range places {
		require.NotNil(t, place, "name %d finds no room", i)
		box := place.box
		inside := box.Min.X > plotArea.Min.X && box.Min.Y > plotArea.Min.Y && box.Max.X <= plotArea.Max.X && box.Max.Y <= plotArea.Max.Y
		require.True(t, inside, "name %d at %v leaves the axes", i, box)
		for j, other := range places[:i] {
			apart := box.Min.X >= other.box.Max.X || other.box.Min.X >= box.Max.X || box.Min.Y >= other.box.Max.Y || other.box.Min.Y >= box.Max.Y
			require.True(t, apart, "names %d and %d overlap", j, i)
		}
	}
	return places
}

func TestNamesFindRoom(t *testing.T) {
	sizes := make([]vg.Point, 6)
	for i := range sizes {
		sizes[i] = vg.Point{X: vg.Length(12 + 13*i), Y: labelLine} // the widest that are drawn are 77
	}
	for name, curve := range map[string][]vg.Point{
		"all fall to nothing":  stairs([2]float64{0.3, 0.3}, [2]float64{0.3, 0.3}, [2]float64{0.3, 0.4}),
		"all hold":             stairs([2]float64{1, 0}),
		"all hold for long":    stairs([2]float64{0.1, 0.02}, [2]float64{0.9, 0}),
		"all fall at once":     stairs([2]float64{0, 1}),
		"all seen for a day":   stairs([2]float64{0.01, 0}),
		"all fall at the edge": stairs([2]float64{1, 1}),
	} {
		t.Run(name, func(t *testing.T) {
			for n := 1; n <= 6; n++ {
				curves := make([][]vg.Point, n)
				for i := range curves {
					curves[i] = curve
				}
				places := requireRoom(t, curves, sizes[:n])
				assert.Equal(t, n > 1, places[0].swatched, "one line needs no sign whose name it is, several do")
			}
		})
	}
}

func TestNamesOfAnyCurvesFindRoom(t *testing.T) {
	share := rapid.Float64Range(0, 0.5)
	step := rapid.Custom(func(t *rapid.T) [2]float64 { return [2]float64{share.Draw(t, "right"), share.Draw(t, "down")} })
	rapid.Check(t, func(t *rapid.T) {
		var curves [][]vg.Point
		var sizes []vg.Point
		for range rapid.IntRange(1, 6).Draw(t, "curves") {
			curves = append(curves, stairs(rapid.SliceOfN(step, 1, 20).Draw(t, "steps")...))
			sizes = append(sizes, vg.Point{X: vg.Length(rapid.Float64Range(5, 77).Draw(t, "width")), Y: labelLine})
		}
		requireRoom(t, curves, sizes)
	})
}

// TestNamesStandWhereHalfAreSpent: with room, a name stands at the median, clear
// of all lines, and nearer to its own than to any other.
func TestNamesStandWhereHalfAreSpent(t *testing.T) {
	curves := [][]vg.Point{
		stairs([2]float64{0.1, 0.3}, [2]float64{0.1, 0.4}, [2]float64{0.1, 0.3}),
		stairs([2]float64{0.5, 0.3}, [2]float64{0.1, 0.4}, [2]float64{0.1, 0.3}),
	}
	size := vg.Point{X: 40, Y: labelLine}
	for i, place := range requireRoom(t, curves, []vg.Point{size, size}) {
		assert.False(t, place.swatched)
		middle := (plotArea.Min.Y + plotArea.Max.Y) / 2
		assert.InDelta(t, float64(middle), float64(place.box.Min.Y+labelLine/2), 15)
		own, other := clearance(place.box, curves[i]), clearance(place.box, curves[1-i])
		assert.Positive(t, own)
		assert.Less(t, own, other)
	}
}

// TestNamesStayWithinTheAxes: a box across any side can't be had.
func TestNamesStayWithinTheAxes(t *testing.T) {
	p := placing{area: plotArea, curves: [][]vg.Point{stairs([2]float64{1, 0})}}
	middle := vg.Point{X: (plotArea.Min.X + plotArea.Max.X) / 2, Y: (plotArea.Min.Y + plotArea.Max.Y) / 2}
	around := func(x, y vg.Length) vg.Rectangle {
		return vg.Rectangle{Min: vg.Point{X: x - 20, Y: y - 7}, Max: vg.Point{X: x + 20, Y: y + 7}}
	}
	assert.Zero(t, p.cost(0, around(middle.X, middle.Y)))
	for _, box := range []vg.Rectangle{
		around(plotArea.Min.X, middle.Y), around(plotArea.Max.X, middle.Y), around(middle.X, plotArea.Min.Y), around(middle.X, plotArea.Max.Y),
	} {
		assert.True(t, math.IsInf(p.cost(0, box), 1), "%v", box)
	}
}

// TestTooManyNames: with sixty curves on top of each other some names are left
// out, and none overlaps.
func TestTooManyNames(t *testing.T) {
	curves, sizes := make([][]vg.Point, 60), make([]vg.Point, 60)
	for i := range curves {
		curves[i], sizes[i] = stairs([2]float64{0.01, 0}), vg.Point{X: 77, Y: labelLine}
	}
	places := placeNames(plotArea, curves, sizes)
	require.NotNil(t, places[0])
	require.Nil(t, places[59])
}

func TestClearance(t *testing.T) {
	box := vg.Rectangle{Min: vg.Point{X: 10, Y: 10}, Max: vg.Point{X: 20, Y: 14}}
	for _, c := range []struct {
		a, b vg.Point
		want float64
	}{
		{vg.Point{X: 0, Y: 12}, vg.Point{X: 30, Y: 12}, 0},       // through
		{vg.Point{X: 12, Y: 11}, vg.Point{X: 13, Y: 12}, 0},      // within
		{vg.Point{X: 0, Y: 20}, vg.Point{X: 30, Y: 20}, 6},       // above
		{vg.Point{X: 23, Y: 18}, vg.Point{X: 40, Y: 18}, 5},      // off the corner (20, 14) by 3 and 4
		{vg.Point{X: 15, Y: 0}, vg.Point{X: 15, Y: 3}, 7},        // ends below
		{vg.Point{X: 15, Y: 20}, vg.Point{X: 25, Y: 10}, 0.7071}, // past the corner: x + y = 35 from (20, 14)
	} {
		assert.InDelta(t, c.want, float64(clearance(box, []vg.Point{c.a, c.b})), 1e-4)
	}
}
