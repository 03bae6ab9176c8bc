package reports

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Every row of a plot's table has its place in the picture, within its frame,
// and the places are read in order.
func TestRowsHavePlaces(t *testing.T) {
	attribute := regexp.MustCompile(` data-spots="([^"]*)"`)
	for _, p := range reportOf(t, madeUpYard(1, 40)).Plots() {
		for _, width := range []float64{560, 358} {
			svg, err := p.Inline("x", width)
			require.NoError(t, err)
			found := attribute.FindStringSubmatch(string(svg))
			require.NotNil(t, found, p.Name)
			var panes [][]any
			require.NoError(t, json.Unmarshal([]byte(found[1]), &panes), p.Name)
			seen := map[float64]bool{}
			for _, pane := range panes {
				before := -1.0
				for _, step := range pane[5:] {
					values := step.([]any)
					along := values[0].(float64)
					assert.Greater(t, along, before, p.Name)
					before = along
					assert.GreaterOrEqual(t, along, pane[1], p.Name)
					assert.LessOrEqual(t, along, pane[3], p.Name)
					for i := 1; i < len(values); i += 3 {
						seen[values[i].(float64)] = true
						assert.GreaterOrEqual(t, values[i+2], pane[2], p.Name)
						assert.LessOrEqual(t, values[i+2], pane[4], p.Name)
					}
				}
			}
			assert.Len(t, seen, len(p.Table.Rows), "%s: rows with a place", p.Name)
		}
	}
}

// The place of a row is where the axes have the row's own numbers: what is read
// off the picture there is what the row says, to the rounding of its cells.
func TestPlacesAreThoseOfTheNumbers(t *testing.T) {
	const width, height vg.Length = 560, 400
	c := draw.New(vgsvg.NewWith(vgsvg.UseWH(width, height)))
	plot, ok := reportOf(t, madeUpYard(1, 40)).survivalPlot()
	require.True(t, ok)
	picture := plot.picture.(survivalPicture)
	axes, area := picture.frame(c)
	data := axes.DataCanvas(area)
	for _, s := range picture.panes(c)[0].spots {
		row := plot.Table.Rows[s.row]
		name, month, found := strings.Cut(row[0], ", ")
		require.True(t, found)
		assert.Equal(t, picture.lines[s.line].label, name)
		months, err := strconv.ParseFloat(month, 64)
		require.NoError(t, err)
		assert.InDelta(t, months, float64((s.at.X-data.Min.X)/data.Size().X)*axes.X.Max, 1e-9, row[0])
		low, high, isRange := strings.Cut(row[1], " to ")
		if !isRange {
			high = low
		}
		atLeast, err := strconv.ParseFloat(low, 64)
		require.NoError(t, err)
		atMost, err := strconv.ParseFloat(high, 64)
		require.NoError(t, err)
		share := 100 * float64((s.at.Y-data.Min.Y)/data.Size().Y)
		assert.GreaterOrEqual(t, share, atLeast-0.5, row[0])
		assert.LessOrEqual(t, share, atMost+0.5, row[0])
	}
}

// Curves of one plot are read at the same months, however far apart they end.
func TestCurvesAreReadTogether(t *testing.T) {
	y := newYard()
	for i := range 20 {
		y.spent("Cfb", "SHORT", 100, 200+i)
		y.spent("Cfb", "LONG", 1200, 1300+i)
	}
	r := reportOf(t, y)
	plot, ok := r.survivalPlot()
	require.True(t, ok)
	read := map[int]map[float64]bool{}
	for _, s := range plot.picture.(survivalPicture).spots {
		if read[s.line] == nil {
			read[s.line] = map[float64]bool{}
		}
		read[s.line][s.months] = true
	}
	require.Len(t, read, 2)
	shorter, longer := read[0], read[1]
	if len(shorter) > len(longer) {
		shorter, longer = longer, shorter
	}
	assert.Greater(t, len(longer), len(shorter))
	for months := range shorter {
		assert.Contains(t, longer, months)
	}
}

// A list is read downwards, and places at one height are one step.
func TestStepsOfAList(t *testing.T) {
	at := func(row int, x, y vg.Length) spot { return spot{row: row, at: vg.Point{X: x, Y: y}} }
	spots := []spot{at(0, 10, 20), at(1, 30, 80), at(2, 10, 80.01)}
	steps := pane{list: true, spots: spots}.steps(100)
	require.Len(t, steps, 2)
	assert.Equal(t, step{20, []spot{spots[1], spots[2]}}, steps[0])
	assert.Equal(t, step{80, []spot{spots[0]}}, steps[1])
	across := pane{spots: spots}.steps(100)
	require.Len(t, across, 2)
	assert.Equal(t, step{10, []spot{spots[0], spots[2]}}, across[0])
}

// The table of a long study is no longer than that of a short one.
func TestTableStep(t *testing.T) {
	for last := 1.0; last < 600; last++ {
		step := tableStep(last)
		assert.LessOrEqual(t, last/step, 50.0)
		assert.Zero(t, int(12)%int(step), "years are among the rows")
	}
}
