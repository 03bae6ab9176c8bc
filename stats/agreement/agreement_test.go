package agreement

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// TestWithinPublished is table 1 of Bland and Altman, BMJ 313 (1996) 744: four
// peak flows (l/min) of each of 20 schoolchildren. The paper's mean variance
// within a child is 460.52, its standard deviation 21.5.
func TestWithinPublished(t *testing.T) {
	s := Within([][]float64{
		{190, 220, 200, 200}, {220, 200, 240, 230}, {260, 260, 240, 280}, {210, 300, 280, 265}, {270, 265, 280, 270},
		{280, 280, 270, 275}, {260, 280, 280, 300}, {275, 275, 275, 305}, {280, 290, 300, 290}, {320, 290, 300, 290},
		{300, 300, 310, 300}, {270, 250, 330, 370}, {320, 330, 330, 330}, {335, 320, 335, 375}, {350, 320, 340, 365},
		{360, 320, 350, 345}, {330, 340, 380, 390}, {335, 385, 360, 370}, {400, 420, 425, 420}, {430, 460, 480, 470},
	})
	assert.InDelta(t, 460.52, s.SD*s.SD, 0.005)
	assert.InDelta(t, 21.5, s.SD, 0.05)
	assert.Equal(t, 60, s.DF)
}

func TestWithinNothing(t *testing.T) {
	s := Within([][]float64{{1}, nil})
	assert.True(t, math.IsNaN(s.SD))
	assert.Zero(t, s.DF)
}

// Shifting one thing changes nothing, and another unit scales the scatter.
func TestWithinProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(-50, 50), 1, 5), 1, 8).Draw(t, "repeats")
		by, times := rapid.Float64Range(-10, 10).Draw(t, "by"), rapid.Float64Range(0.1, 10).Draw(t, "times")
		changed := make([][]float64, len(xs))
		for i := range xs {
			for _, x := range xs[i] {
				changed[i] = append(changed[i], times*x+by*float64(i))
			}
		}
		before, after := Within(xs), Within(changed)
		assert.Equal(t, before.DF, after.DF)
		if before.DF > 0 {
			assert.InDelta(t, times*before.SD, after.SD, 1e-9*(1+after.SD))
		}
	})
}

// On a straight fall without errors nothing is left but how the raters differ:
// rater 1 reads 3 too high, so that between two of rater 0 it lies 3 above their
// line, whatever the days.
func TestNeighboursOfALine(t *testing.T) {
	high := map[int]float64{0: 0, 1: 3}
	series := func(raters ...int) []Measurement {
		day, all := 0.0, []Measurement(nil)
		for i, rater := range raters {
			day += float64(20 + 7*i)
			all = append(all, Measurement{day, 110 - 0.05*day + high[rater], rater})
		}
		return all
	}
	r := Neighbours([][]Measurement{series(0, 0, 0, 0), series(0, 1, 0), series(1, 0, 1), series(0, 1)})
	assert.InDelta(t, 0, r.Alone.SD, 1e-9)
	assert.Equal(t, 1, r.Alone.DF, "two middles, less the mean")
	assert.Equal(t, 2, r.Mixed.DF)
	assert.InDelta(t, 3, r.Offsets[1].Mean, 1e-9)
	assert.InDelta(t, -3, r.Offsets[0].Mean, 1e-9)
	assert.Equal(t, 1, r.Offsets[0].N)
}

// What bends all series alike is no difference between raters.
func TestNeighboursTakeOffTheBend(t *testing.T) {
	bent := func(raters ...int) []Measurement {
		var all []Measurement
		for i, rater := range raters {
			all = append(all, Measurement{float64(i), float64(i * i), rater})
		}
		return all
	}
	r := Neighbours([][]Measurement{bent(0, 0, 0, 0), bent(0, 1, 0)})
	assert.InDelta(t, 0, r.Offsets[1].Mean, 1e-12)
	assert.InDelta(t, 0, r.Mixed.SD, 1e-12)
}

// Errors with a standard deviation of 2 come out as 2, with one rater and, as
// long as these read alike, with several. Simulated; the tolerance is four
// standard errors.
func TestNeighboursOfErrors(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 0))
	var series [][]Measurement
	for range 2000 {
		var all []Measurement
		day := 0.0
		for i := range 3 {
			day += 10 + 80*random.Float64()
			all = append(all, Measurement{day, 100 - day/20 + 2*random.NormFloat64(), i % (1 + len(series)%2)})
		}
		series = append(series, all)
	}
	r := Neighbours(series)
	tolerance := 4 * 2 / math.Sqrt(2*1000)
	assert.InDelta(t, 2, r.Alone.SD, tolerance)
	assert.InDelta(t, 2, r.Mixed.SD, tolerance)
}

// Two readings at one time have no line between them.
func TestNeighboursAtOneTime(t *testing.T) {
	r := Neighbours([][]Measurement{{{0, 1, 0}, {0, 9, 1}, {0, 5, 2}}})
	assert.True(t, math.IsNaN(r.Alone.SD) && math.IsNaN(r.Mixed.SD))
	assert.Empty(t, r.Offsets)
}
