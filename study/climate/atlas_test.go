package climate

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

func atlas(t testing.TB) *Atlas {
	t.Helper()
	a, err := OpenAtlas()
	require.NoError(t, err)
	return a
}

// TestAtlasPlaces holds what is decoded against values that were read from the
// same files with other programs.
func TestAtlasPlaces(t *testing.T) {
	a := atlas(t)
	at := func(name string) Spot {
		city, _, err := a.City(name, "")
		require.NoError(t, err)
		s, err := a.At(city.LatitudeDeg, city.LongitudeDeg)
		require.NoError(t, err)
		return s
	}
	for name, class := range map[string]string{
		"Phoenix": "BWh", "London": "Cfb", "Singapore": "Af", "Moscow": "Dfb", "Miami": "Am",
		"Sydney": "Cfa", "Berlin": "Cfb", "Dubai": "BWh", "Denver": "BSk", "Seoul": "Dwa",
	} {
		assert.Equal(t, class, at(name).Class, name)
	}
	for name, want := range map[string][4]float64{ // January, April, July, October
		"Phoenix": {11.9, 20.3, 33.1, 22.9}, "London": {5.4, 9.3, 17.4, 11.8},
		"Moscow": {-6.2, 6.9, 19.6, 5.8}, "Sydney": {24.9, 19.7, 13.3, 19.3},
	} {
		got := at(name).MeanTempC
		for i, month := range []int{0, 3, 6, 9} {
			// The city's position is a little off the one that was read: within
			// the difference of neighbouring cells.
			assert.InDelta(t, want[i], got[month], 0.35, "%s, %s", name, monthNames()[month])
		}
	}
}

// TestAtlasCities: every city has a class and temperatures, nearly all in their
// own cell of the coarser grid, and 25 need a cell beside it, as its makers
// counted.
func TestAtlasCities(t *testing.T) {
	a := atlas(t)
	require.Len(t, a.cities, 9062)
	classes := map[string]int{}
	beside := 0
	for _, c := range a.cities {
		s, err := a.At(c.LatitudeDeg, c.LongitudeDeg)
		require.NoError(t, err, c)
		classes[s.Class]++
		if s.TempKM > 0 {
			beside++
		}
		assert.Less(t, s.TempKM, 90.0, c)
		assert.Less(t, s.ClassKM, 60.0, c)
		for _, temp := range s.MeanTempC {
			assert.True(t, -50 < temp && temp <= 42, "%s: %g °C", c, temp)
		}
	}
	assert.Equal(t, 25, beside)
	assert.Greater(t, len(classes), 20)
}

// TestAtlasAgreesWithItself: where it is always hot, or the year is mild, the
// map of classes and the temperatures say so alike, although they were made by
// different people. A of the map means 18 °C or more in the coldest month.
func TestAtlasAgreesWithItself(t *testing.T) {
	a := atlas(t)
	tropical, agree := 0, 0
	for _, c := range a.cities {
		s, err := a.At(c.LatitudeDeg, c.LongitudeDeg)
		require.NoError(t, err)
		if s.Class[0] != 'A' {
			continue
		}
		tropical++
		k, err := Classify(s.MeanTempC, *constant(100))
		require.NoError(t, err)
		if k.ColdestC >= 17 {
			agree++
		}
	}
	assert.Greater(t, float64(agree)/float64(tropical), 0.97)
}

func TestAtSea(t *testing.T) {
	a := atlas(t)
	_, err := a.At(30, -40)
	assert.ErrorIs(t, err, ErrNoLand)
	_, err = a.At(91, 0)
	var problems study.Problems
	assert.ErrorAs(t, err, &problems)

	s, err := a.At(51.35, 1.48) // a mile off the coast of Kent
	require.NoError(t, err)
	assert.Equal(t, "Cfb", s.Class)
}

// Anywhere on Earth there is an answer or ErrNoLand, and the date line and the
// poles are no edges.
func TestAtAnywhere(t *testing.T) {
	a := atlas(t)
	for _, latitude := range []float64{-90, -16.5, 65, 90} {
		east, errEast := a.At(latitude, 180)
		west, errWest := a.At(latitude, -180)
		assert.Equal(t, errEast == nil, errWest == nil, latitude)
		assert.Equal(t, west, east, latitude)
	}
	rapid.Check(t, func(t *rapid.T) {
		latitude := rapid.Float64Range(-90, 90).Draw(t, "latitude")
		longitude := rapid.Float64Range(-180, 180).Draw(t, "longitude")
		s, err := a.At(latitude, longitude)
		if err != nil && !errors.Is(err, ErrNoLand) {
			t.Fatal(err)
		}
		if err == nil && (Words(s.Class) == "" || s.ClassKM > coastKM || s.TempKM > coastKM) {
			t.Fatalf("%+v", s)
		}
	})
}

// TestNearestCell holds the search against one through all cells.
func TestNearestCell(t *testing.T) {
	r := raster{72, 36}
	rapid.Check(t, func(t *rapid.T) {
		filled := map[int]bool{}
		dice := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for range rapid.IntRange(0, 300).Draw(t, "filled") {
			filled[dice.IntN(72*36)] = true
		}
		latitude := rapid.Float64Range(-90, 90).Draw(t, "latitude")
		longitude := rapid.Float64Range(-180, 180).Draw(t, "longitude")
		const maxKM = 1500
		_, km, found := r.nearest(latitude, longitude, maxKM, func(cell int) bool { return filled[cell] })
		want, any := math.Inf(1), filled[r.cell(latitude, longitude)]
		if any {
			want = 0
		}
		for cell := range filled {
			lat, lon := r.centre(cell)
			if d := distanceKM(latitude, longitude, lat, lon); !any && d <= maxKM {
				want = math.Min(want, d)
			}
		}
		if found != !math.IsInf(want, 1) || (found && math.Abs(km-want) > 1e-6) {
			t.Fatalf("got %v at %g km, want %g km", found, km, want)
		}
	})
}

// TestDistance: Paris to New York is 5,837 km; from memory, within 0.3 %.
func TestDistance(t *testing.T) {
	assert.InEpsilon(t, 5837, distanceKM(48.8566, 2.3522, 40.7128, -74.0060), 0.003)
	assert.InDelta(t, 6371*math.Pi, distanceKM(90, 0, -90, 0), 1e-6)
	assert.Zero(t, distanceKM(10, 20, 10, 20))
}

func TestCity(t *testing.T) {
	a := atlas(t)
	for name, want := range map[string]string{
		"phoenix":             "Phoenix, AZ, US",
		"sao paulo":           "São Paulo, 27, BR",
		"ZURICH":              "Zürich, ZH, CH",
		"London":              "London, ENG, GB",
		"London, CA":          "London, 08, CA",
		"springfield, il":     "Springfield, IL, US",
		"Springfield, MO, US": "Springfield, MO, US",
	} {
		city, _, err := a.City(name, "")
		require.NoError(t, err, name)
		assert.Equal(t, want, city.String())
	}
	city, others, err := a.City("London", "ca")
	require.NoError(t, err)
	assert.Equal(t, "CA", city.Country)
	assert.Empty(t, others)
	_, others, err = a.City("London", "")
	require.NoError(t, err)
	assert.Len(t, others, 1, "the smaller one is told")
}

func TestCityIsUnclear(t *testing.T) {
	a := atlas(t)
	_, _, err := a.City("Springfield", "US")
	var unclear *CityError
	require.ErrorAs(t, err, &unclear)
	assert.Len(t, unclear.Found, 5)
	assert.ErrorContains(t, err, `"Springfield, IL, US"`)

	for typed, meant := range map[string]string{
		"Lodnon": "London", "Pheonix": "Phoenix", "Munchen": "Munich", "New York": "New York City", "Reykjavik City": "Reykjavík",
	} {
		_, _, err = a.City(typed, "")
		unclear = nil
		require.ErrorAs(t, err, &unclear, typed)
		var names []string
		for _, c := range unclear.Near {
			names = append(names, c.Name)
		}
		assert.Contains(t, names, meant, typed)
	}
	for _, none := range []string{"", " ", "Qxzqxzqxz", ", US"} {
		_, _, err = a.City(none, "")
		unclear = nil
		require.ErrorAs(t, err, &unclear, none)
		assert.Empty(t, unclear.Near, none)
	}
}

// TestEdits takes the textbook's kitten and sitting.
func TestEdits(t *testing.T) {
	assert.Equal(t, 3, edits("kitten", "sitting"))
	assert.Equal(t, 0, edits("łódź", "łódź"))
	assert.Equal(t, 4, edits("", "oulu"))
}

func TestFold(t *testing.T) {
	for name, want := range map[string]string{
		"São Paulo": "sao paulo", "ØRSTA": "orsta", "Łódź": "lodz", "Saint-Étienne": "saint etienne",
		"Sunch’ŏn": "sunchon", "  Zürich (Kreis 11) ": "zurich kreis 11", "Gießen": "giessen",
	} {
		assert.Equal(t, want, fold(name))
	}
}

func BenchmarkOpenAtlas(b *testing.B) {
	for b.Loop() {
		if _, err := OpenAtlas(); err != nil {
			b.Fatal(err)
		}
	}
}

// What one may mean by the first letters, the largest city first. Which is
// larger is common knowledge: Paris has more people than Parma.
func TestAtlasSearch(t *testing.T) {
	a := atlas(t)
	names := func(typed string, most int) (names []string) {
		for _, c := range a.Search(typed, most) {
			names = append(names, c.String())
		}
		return names
	}
	par := names("par", 20)
	assert.Equal(t, "Paris, 11, FR", par[0])
	assert.Contains(t, par, "Parma, 05, IT")
	assert.Len(t, names("par", 3), 3)
	assert.Equal(t, "São Paulo, 27, BR", names("sao pa", 5)[0])
	assert.Contains(t, names("paulo", 20), "São Paulo, 27, BR")
	assert.Equal(t, []string{"Springfield, IL, US"}, names("Springf, IL", 5))
	assert.Contains(t, names("Lodnon", 5), "London, ENG, GB")
	for _, nothing := range []string{"", "  ", ",US", "zzzzqqqq"} {
		assert.Empty(t, names(nothing, 5), nothing)
	}
}

func BenchmarkSearch(b *testing.B) {
	a := atlas(b)
	for b.Loop() {
		a.Search("san", 8)
	}
}
