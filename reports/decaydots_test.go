package reports

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
)

func manyReadings(n int) []CleanReading {
	random := rand.New(rand.NewPCG(1, 0))
	readings := make([]CleanReading, n)
	for i := range readings {
		day := float64(random.IntN(300))
		if i%10 == 0 {
			day += 300 // a tenth of them come late
		}
		readings[i] = CleanReading{Days: day, AngleDeg: 80 + float64(random.IntN(400))/10}
	}
	return readings
}

// TestDrawnIsFair: of many readings, each time and each height keeps its share.
func TestDrawnIsFair(t *testing.T) {
	readings := manyReadings(50_000)
	picked := drawn(readings)
	require.Len(t, picked, mostDots)
	share := func(of []CleanReading, is func(CleanReading) bool) float64 {
		n := 0
		for _, r := range of {
			if is(r) {
				n++
			}
		}
		return float64(n) / float64(len(of))
	}
	for name, is := range map[string]func(CleanReading) bool{
		"late":       func(r CleanReading) bool { return r.Days >= 300 },
		"first days": func(r CleanReading) bool { return r.Days < 30 },
		"high":       func(r CleanReading) bool { return r.AngleDeg > 110 },
		"low":        func(r CleanReading) bool { return r.AngleDeg < 90 },
	} {
		assert.InDelta(t, share(readings, is), share(picked, is), 0.02, name)
	}
	read := map[CleanReading]bool{}
	for _, r := range readings {
		read[r] = true
	}
	for _, r := range picked {
		require.True(t, read[r], "%v was never read", r)
	}
}

func TestDrawnDependsOnReadingsAlone(t *testing.T) {
	readings := manyReadings(5_000)
	want := drawn(readings)
	shuffled := slices.Clone(readings)
	rand.New(rand.NewPCG(2, 0)).Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	before := slices.Clone(shuffled)
	assert.Equal(t, want, drawn(shuffled))
	assert.Equal(t, before, shuffled)
	few := readings[:mostDots]
	assert.Equal(t, few, drawn(few), "all of few are drawn")
}

// TestFewDotsAreSeen: the fewer, the larger.
func TestFewDotsAreSeen(t *testing.T) {
	before := vg.Length(math.Inf(1))
	for _, n := range []int{1, mostListed + 1, mostDots} {
		half, _ := dotLook(n)
		assert.Less(t, half, before)
		before = half
	}
}

func TestDrawnWords(t *testing.T) {
	assert.Empty(t, drawnWords(mostDots))
	assert.Equal(t, " 1,500 of 320,114 readings drawn, spread evenly over time; the curve rests on all.", drawnWords(320_114))
}
