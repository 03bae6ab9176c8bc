package reports

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Written by hand from the grammar of paths, https://www.w3.org/TR/SVG2/paths.html
// (9.3: relative commands, and numbers that follow one another without a
// separator where the next begins with a sign).
func TestShortPaths(t *testing.T) {
	for long, short := range map[string]string{
		`<path d="M68.2,220.2L69.5,221.5L70.8,220.2Z" fill="#000"/>`: `<path d="m68.2,220.2l1.3,1.3l1.3-1.3z" fill="#000"/>`,
		`<path d="M1,1L0.5,0.25"/>`:                                  `<path d="m1,1l-.5-.7"/>`,
		`<path d="M1,1L2,2ZM5,5L5,5"/>`:                              `<path d="m1,1l1,1zm4,4l0,0"/>`,
		`<path d="M1,1L2,2A5,5 0 0 1 3,3"/>`:                         `<path d="M1,1L2,2A5,5 0 0 1 3,3"/>`,
		`<path d="M1,1L2"/>`:                                         `<path d="M1,1L2"/>`,
		`<text id="M1,1L2,2">M1,1L2,2</text>`:                        `<text id="M1,1L2,2">M1,1L2,2</text>`,
	} {
		assert.Equal(t, short, shortPaths(long))
	}
}

// Every point of a short path lies within a twentieth of a unit of where it was.
func TestShortPathsKeepPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(-2000, 2000), 2, 2), 1, 50).Draw(t, "points")
		var path strings.Builder
		for i, p := range points {
			path.WriteString(map[bool]string{true: "M", false: "L"}[i%7 == 0])
			path.WriteString(strconv.FormatFloat(p[0], 'f', -1, 64) + "," + strconv.FormatFloat(p[1], 'f', -1, 64))
		}
		short, ok := shortPath(path.String())
		require.True(t, ok)
		x, y := 0.0, 0.0
		steps := strings.FieldsFunc(short, func(r rune) bool { return r == 'm' || r == 'l' })
		require.Len(t, steps, len(points))
		for i, step := range steps {
			dx, dy, found := strings.Cut(step, ",")
			if !found { // the second number begins with its sign
				at := strings.LastIndex(step, "-")
				dx, dy = step[:at], step[at:]
			}
			x, y = x+parsedFloat(t, dx), y+parsedFloat(t, dy)
			require.LessOrEqual(t, math.Abs(x-points[i][0]), 0.05001)
			require.LessOrEqual(t, math.Abs(y-points[i][1]), 0.05001)
		}
	})
}

func parsedFloat(t *rapid.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}
