package climate

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

// station is a line of a file in testdata.
type station struct {
	name           string
	max, min, rain Monthly
	class          string
}

func (s station) mean() Monthly {
	return *Normals{MaxTempC: &s.max, MinTempC: &s.min}.MeanTemp()
}

func stations(t *testing.T, file string) (all []station) {
	t.Helper()
	text, err := os.ReadFile("testdata/" + file)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(strings.TrimSpace(line), " | ")
		require.Len(t, cells, 5, line)
		s := station{name: cells[0], max: monthly(t, cells[1]), min: monthly(t, cells[2]), rain: monthly(t, cells[3]), class: cells[4]}
		if strings.Contains(s.name, ", F") {
			celsius := func(_ int, f float64) float64 { return (f - 32) / 1.8 }
			s.max, s.min = s.max.each(celsius), s.min.each(celsius)
		}
		if strings.Contains(s.name, ", inches") {
			s.rain = s.rain.each(func(_ int, in float64) float64 { return 25.4 * in })
		}
		all = append(all, s)
	}
	return all
}

func monthly(t *testing.T, text string) (m Monthly) {
	t.Helper()
	words := strings.Fields(text)
	require.Len(t, words, 12, text)
	for i, w := range words {
		var err error
		m[i], err = strconv.ParseFloat(w, 64)
		require.NoError(t, err)
	}
	return m
}

// TestClassifyStations holds the rules against published classes. The files
// name their sources.
func TestClassifyStations(t *testing.T) {
	for file, count := range map[string]int{"stations.txt": 26, "handbook.txt": 7} {
		all := stations(t, file)
		require.Len(t, all, count)
		for _, s := range all {
			k, err := Classify(s.mean(), s.rain)
			require.NoError(t, err)
			assert.Equal(t, s.class, k.Class, s.name)
		}
	}
}

// TestClassifyFigures holds what decides against figures worked out by hand
// from the same normals, to their last digit.
func TestClassifyFigures(t *testing.T) {
	figures := map[string]Koppen{}
	for _, s := range stations(t, "handbook.txt") {
		k, err := Classify(s.mean(), s.rain)
		require.NoError(t, err)
		name, _, _ := strings.Cut(s.name, ",")
		figures[name] = k
	}
	near := func(want, got, tolerance float64) { t.Helper(); assert.InDelta(t, want, got, tolerance) }
	near(24.31, figures["Phoenix"].MeanC, 0.005)
	near(182.4, figures["Phoenix"].YearMM, 0.05)
	near(626, figures["Phoenix"].AridBelowMM, 0.5)
	near(19.4, figures["Miami"].ColdestC, 0.05)
	near(1419.9, figures["Miami"].YearMM, 0.05)
	near(45.7, figures["Miami"].DriestMM, 0.05)
	near(-4.17, figures["Chicago"].ColdestC, 0.005)
	near(24.44, figures["Chicago"].HottestC, 0.005)
	near(990.6, figures["Chicago"].YearMM, 0.05)
	near(10.21, figures["Denver"].MeanC, 0.005)
	near(365.8, figures["Denver"].YearMM, 0.05)
	near(0.743, figures["Denver"].SummerMM/figures["Denver"].YearMM, 0.0005)
	near(484, figures["Denver"].AridBelowMM, 0.5)
	near(17.45, figures["North Sea coast"].HottestC, 0.005)
	near(3.2, figures["North Sea coast"].ColdestC, 0.05)
	assert.Equal(t, 6, figures["North Sea coast"].MonthsFrom10C)
	near(5, figures["Cuzco"].WinterDriestMM, 1e-9)
	near(163, figures["Cuzco"].SummerWettestMM, 1e-9)
	near(14.5, figures["Cuzco"].HottestC, 1e-9)
	near(112, figures["Labuan"].DriestMM, 1e-9)
}

// TestClassifyEach makes normals for each of the thirty classes from the
// criteria of Peel et al. (2007): a year that swings between two temperatures,
// and rain of one amount in April to September and another in October to
// March, unless a month is named.
func TestClassifyEach(t *testing.T) {
	for class, c := range map[string]struct{ hot, cold, summerMM, winterMM float64 }{
		"Af": {28, 25, 100, 100}, "Am": {28, 25, 400, 50}, "Aw": {28, 25, 200, 10},
		"BWh": {35, 10, 5, 5}, "BWk": {25, -10, 5, 5}, "BSh": {35, 10, 30, 30}, "BSk": {25, -5, 20, 20},
		"Csa": {28, 8, 10, 120}, "Csb": {20, 8, 10, 120}, "Csc": {12, 1, 10, 120},
		"Cwa": {28, 8, 200, 10}, "Cwb": {20, 8, 200, 10}, "Cwc": {10.5, 1, 200, 10},
		"Cfa": {28, 8, 90, 90}, "Cfb": {20, 8, 90, 90}, "Cfc": {10.5, 1, 90, 90},
		"Dsa": {28, -8, 10, 120}, "Dsb": {20, -8, 10, 120}, "Dsc": {10.5, -8, 10, 120}, "Dsd": {10.5, -40, 10, 120},
		"Dwa": {28, -8, 200, 10}, "Dwb": {20, -8, 200, 10}, "Dwc": {10.5, -8, 200, 10}, "Dwd": {10.5, -40, 200, 10},
		"Dfa": {28, -8, 90, 90}, "Dfb": {20, -8, 90, 90}, "Dfc": {10.5, -8, 90, 90}, "Dfd": {10.5, -40, 90, 90},
		"ET": {8, -20, 50, 50}, "EF": {-5, -40, 50, 50},
	} {
		temp, rain := swing(c.hot, c.cold), Monthly{}
		for m := range rain {
			rain[m] = c.winterMM
			if m >= 3 && m <= 8 {
				rain[m] = c.summerMM
			}
		}
		k, err := Classify(temp, rain)
		require.NoError(t, err)
		assert.Equal(t, class, k.Class)
		assert.NotEmpty(t, Words(class), class)

		south, err := Classify(turned(temp), turned(rain))
		require.NoError(t, err)
		assert.Equal(t, class, south.Class, "six months later")
	}
}

// swing is a year between a hot July and a cold January.
func swing(hot, cold float64) (m Monthly) {
	return m.each(func(month int, _ float64) float64 {
		return (hot+cold)/2 - (hot-cold)/2*math.Cos(2*math.Pi*float64(month)/12)
	})
}

// turned is a year of the other hemisphere: six months later.
func turned(m Monthly) Monthly {
	return m.each(func(i int, _ float64) float64 { return m[(i+6)%12] })
}

// TestClassifyOnTheLimits holds each limit to its side of the criteria.
func TestClassifyOnTheLimits(t *testing.T) {
	wet := Monthly{}.each(func(int, float64) float64 { return 100 })
	class := func(temp, rain Monthly) string {
		k, err := Classify(temp, rain)
		require.NoError(t, err)
		return k.Class
	}
	assert.Equal(t, "A", class(swing(30, 18), wet)[:1], "18 °C in the coldest month is tropical")
	assert.Equal(t, "D", class(swing(25, 0), wet)[:1], "0 °C in the coldest month is D")
	assert.Equal(t, "Cfa", class(swing(22, 5), wet), "22 °C is a hot summer")
	assert.Equal(t, "ET", class(swing(10, -5), wet), "10 °C in the warmest month is polar")
	assert.Equal(t, "EF", class(swing(0, -5), wet), "0 °C in the warmest month is frost")
	even := func(mm float64) Monthly { return Monthly{}.each(func(int, float64) float64 { return mm }) }
	assert.Equal(t, "Af", class(even(25), even(60)), "60 mm in the driest month is rainforest")
	// MAT 20, rain even: Pthreshold 54. 540 mm isn't arid, 270 mm no desert.
	assert.Equal(t, "A", class(even(20), even(45))[:1])
	assert.Equal(t, "BSh", class(even(20), even(22.5)))
	assert.Equal(t, "BSh", class(even(18), even(23)), "18 °C in the year is hot")
	// No rain at all: neither half is the wetter.
	assert.Equal(t, "BWh", class(even(25), Monthly{}))
	assert.Equal(t, "ET", class(swing(8, -30), Monthly{}))
}

// TestClassifySeasons has both sides of the criteria that months of rain decide.
func TestClassifySeasons(t *testing.T) {
	mild := swing(20, 8)
	for _, c := range []struct {
		want       string
		temp, rain Monthly
		why        string
	}{
		{"Cfb", mild, Monthly{150, 150, 150, 40, 40, 40, 40, 40, 40, 150, 150, 150}, "40 mm is no dry summer"},
		{"Csb", mild, Monthly{150, 150, 150, 40, 40, 40, 39, 40, 40, 150, 150, 150}, "39 mm is one"},
		{"Cwb", mild, Monthly{5, 100, 100, 5, 200, 200, 200, 200, 200, 100, 100, 100}, "both dry, summer wetter"},
		{"Csb", mild, Monthly{5, 200, 200, 5, 100, 100, 100, 100, 100, 200, 200, 200}, "both dry, winter wetter"},
		// 1500 mm a year: the border of Am and Aw is at 100 − 60 = 40 mm.
		{"Am", *constant(25), Monthly{40, 130, 130, 130, 130, 130, 130, 136, 136, 136, 136, 136}, "40 mm of 1500"},
		{"Aw", *constant(25), Monthly{39, 131, 130, 130, 130, 130, 130, 136, 136, 136, 136, 136}, "39 mm of 1500"},
		{"Cfb", Monthly{1, 1, 1, 1, 10, 12, 12, 10, 1, 1, 1, 1}, *constant(90), "four months at 10 °C or above"},
		{"Cfc", Monthly{1, 1, 1, 1, 9.9, 12, 12, 10, 1, 1, 1, 1}, *constant(90), "three"},
	} {
		k, err := Classify(c.temp, c.rain)
		require.NoError(t, err)
		assert.Equal(t, c.want, k.Class, c.why)
	}
}

func TestClassifyRefuses(t *testing.T) {
	good := swing(20, 0)
	for name, bad := range map[string]float64{"NaN": math.NaN(), "infinite": math.Inf(1)} {
		worse := good
		worse[4] = bad
		_, err := Classify(worse, good.each(func(int, float64) float64 { return 50 }))
		assert.ErrorIs(t, err, ErrNormals, name)
		_, err = Classify(good, worse)
		assert.ErrorIs(t, err, ErrNormals, name)
		_, err = Neighbours(good, worse)
		assert.ErrorIs(t, err, ErrNormals, name)
	}
	_, err := Classify(good, Monthly{-1})
	assert.ErrorIs(t, err, ErrNormals)
}

func drawMonthly(low, high float64) *rapid.Generator[Monthly] {
	return rapid.Custom(func(t *rapid.T) (m Monthly) {
		for i := range m {
			m[i] = rapid.Float64Range(low, high).Draw(t, "month")
		}
		return m
	})
}

// Whatever the normals, there is one of the thirty classes, and the year of
// the other hemisphere has the same.
func TestClassifyAlways(t *testing.T) {
	classes := study.KoppenClasses()
	rapid.Check(t, func(t *rapid.T) {
		temp, rain := drawMonthly(-70, 50).Draw(t, "°C"), drawMonthly(0, 2000).Draw(t, "mm")
		k, err := Classify(temp, rain)
		if err != nil || !slices.Contains(classes, k.Class) {
			t.Fatalf("class %q, error %v", k.Class, err)
		}
		if sum(temp[3:9]) != sum(temp.over([]int{9, 10, 11, 0, 1, 2})) {
			if south, _ := Classify(turned(temp), turned(rain)); math.Abs(south.YearMM-south.AridBelowMM) > 1e-6 && south.Class != k.Class {
				t.Fatalf("%s in the north, %s in the south", k.Class, south.Class)
			}
		}
	})
}

// A neighbour is a class that the change it names really gives.
func TestNeighbours(t *testing.T) {
	wet := Monthly{}.each(func(int, float64) float64 { return 100 })
	near, err := Neighbours(swing(21.8, 8), wet)
	require.NoError(t, err)
	assert.Equal(t, []Neighbour{{"Cfa", "0.2 °C warmer"}}, near)

	near, err = Neighbours(swing(20, 8), wet)
	require.NoError(t, err)
	assert.Empty(t, near, "far from every border")

	// MAT 20, Pthreshold 54: from 520 mm it takes 20/520 = 3.85 % to 540 mm.
	even := func(x float64) Monthly { return Monthly{}.each(func(int, float64) float64 { return x }) }
	near, err = Neighbours(even(20), even(520.0/12))
	require.NoError(t, err)
	require.NotEmpty(t, near)
	assert.Contains(t, near, Neighbour{"Aw", "3.85 % wetter"})
}

func TestWords(t *testing.T) {
	seen := map[string]bool{}
	for _, class := range study.KoppenClasses() {
		words := Words(class)
		assert.NotEmpty(t, words, class)
		assert.False(t, seen[words], "%s: %s twice", class, words)
		seen[words] = true
	}
	for _, none := range []string{"", "C", "Xyz", "Cxa", "Cfx", "Dfabc", "Aq", "BXh", "E"} {
		assert.Empty(t, Words(none), none)
	}
}
