package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/climate"
	"beadspan/study/exposure"
)

// climateYard has two coatings in climates that multiply lives, a vehicle for
// each of n patches of either.
func climateYard(n int, times map[string]float64) *yard {
	random := rand.New(rand.NewPCG(7, 7))
	y := newYard()
	for class, factor := range times {
		for range n {
			v := y.vehicle(class, "A-1", fading(random, 350*factor)...)
			y.patch(v, "B/2", fading(random, 500*factor)...)
			v.Patches[0].Orientation, v.Patches[1].Orientation = study.Horizontal, study.Vertical
		}
	}
	return y
}

func climateLifeOf(t testing.TB, y *yard) *ClimateLife {
	t.Helper()
	for i, s := range y.fleet.Sites {
		y.fleet.Sites[i].UVMJm2Year = new(150 + 10*float64(len(s.Koppen)+i))
		y.fleet.Sites[i].MeanTempC = []float64{0, 2, 5, 9, 13, 17, 19, 18, 15, 10, 5, 2}
	}
	sites, err := SitesOf(y.fleet)
	require.NoError(t, err)
	c, err := NewClimateLife(y.follow(), sites, 0.95)
	require.NoError(t, err)
	return c
}

func TestClimateLife(t *testing.T) {
	c := climateLifeOf(t, climateYard(25, map[string]float64{"Cfb": 1.2, "Cfa": 1, "Csa": 0.95, "BWh": 0.7}))
	require.Empty(t, c.Refused)
	require.Len(t, c.Rows, 8)
	assert.Equal(t, Group{"A-1", "BWh"}, c.Rows[0].Group)
	assert.Equal(t, []string{"Cfb", "BWh"}, []string{c.byKindness()[0], c.byKindness()[3]})
	assert.True(t, strings.HasPrefix(c.Sentence(), "Coatings last longest in temperate, no dry season, warm summer (Cfb) and shortest in hot desert (BWh): A-1 "))
	for _, o := range c.Coatings {
		width := func(l Limits) float64 { return math.Log(l.High / l.Low) }
		assert.Greater(t, width(o.NewPlace.Limits), width(o.Middling.Limits))
		assert.Greater(t, width(o.NewPlace.Limits), 3*width(c.pooledIn(o.Coating, "Cfb").Limits), "visibly wider")
	}
	require.Len(t, c.Loads, 4)
	assert.Empty(t, c.Loads[0].Why, "ultraviolet is known of all four")
	assert.Contains(t, c.Loads[1].Why, "the same in all places", "all sites have one temperature")
	assert.Empty(t, c.Conditions, "orientation is the coating's")
	assert.Contains(t, strings.Join(c.Notes, " "), "can’t be told apart from the rest")

	var text, js bytes.Buffer
	require.NoError(t, c.WriteText(&text))
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
	require.NoError(t, c.WriteJSON(&js))
	var got climateLifeRecord
	require.NoError(t, json.Unmarshal(js.Bytes(), &got))
	require.Len(t, got.Rows, 8)
	assert.Equal(t, c.Rows[0].Pooled.Months, got.Rows[0].Pooled.Months)
	assert.Nil(t, got.Refused)
	assert.Nil(t, got.Loads[1].Ratio)
}

// TestClimateLifeRefuses: what little data can't tell isn't told, and what it
// would take is.
func TestClimateLifeRefuses(t *testing.T) {
	empty := climateLifeOf(t, newYard())
	assert.Contains(t, empty.Refused, "Nothing is known yet")
	assert.Empty(t, empty.Rows)

	young := newYard()
	for range 4 {
		young.held("Cfb", "A", 100)
	}
	c := climateLifeOf(t, young)
	assert.Contains(t, c.Refused, "5 spent patches on 3 vehicles")
	require.Len(t, c.Rows, 1)
	assert.Nil(t, c.Rows[0].Own)

	two := climateLifeOf(t, climateYard(25, map[string]float64{"Cfb": 1, "BWh": 0.7}))
	assert.Contains(t, two.Refused, "2 of them have a coating with a median of its own")
	assert.NotNil(t, two.Rows[0].Own)
	assert.Nil(t, two.Rows[0].Pooled)
	assert.Empty(t, two.Coatings)
	_, err := two.Forecast("Oulu", climate.Climate{Class: "Dfc"})
	assert.ErrorIs(t, err, ErrNoForecast)
	var text bytes.Buffer
	require.NoError(t, two.WriteText(&text))
	assert.Contains(t, text.String(), "Climates aren’t pooled")

	_, err = NewClimateLife(nil, nil, 1)
	assert.ErrorIs(t, err, ErrOptions)
}

// TestClimateLifeThinCell: a cell without a spent patch has no life by itself,
// leans on the others, and says how much more it takes.
func TestClimateLifeThinCell(t *testing.T) {
	y := climateYard(25, map[string]float64{"Cfb": 1.2, "Cfa": 1, "BWh": 0.7})
	for range 10 {
		y.held("Dfb", "A-1", 300)
	}
	c := climateLifeOf(t, y)
	require.Empty(t, c.Refused)
	for _, row := range c.Rows {
		if row.Climate == "Dfb" {
			assert.Nil(t, row.Own)
			require.NotNil(t, row.Pooled)
			require.NotNil(t, row.MoreVehicleMonths)
			assert.Greater(t, *row.MoreVehicleMonths, 10.0)
			return
		}
	}
	t.Fatal("no row for Dfb")
}

// TestForecast: with few climates the weather at the place plays no part; from
// six on its ultraviolet does.
func TestForecast(t *testing.T) {
	place := climate.Place{LatitudeDeg: 30, LongitudeDeg: 10, RecordClass: "BWh", UVMJm2Year: new(300.0)}
	at, err := climate.Of(place, climate.DefaultAssumptions())
	require.NoError(t, err)
	few := climateLifeOf(t, climateYard(25, map[string]float64{"Cfb": 1.2, "Cfa": 1, "Csa": 0.95, "BWh": 0.7}))
	f, err := few.Forecast("a yard", at)
	require.NoError(t, err)
	assert.False(t, f.ByUV)
	require.Len(t, f.Rows, 2)
	assert.Equal(t, few.Coatings[0].NewPlace, f.Rows[0].Life)
	assert.Equal(t, few.pooledIn("A-1", "BWh"), f.Rows[0].SameClass)
	assert.Contains(t, strings.Join(f.Notes, " "), "not a warranty")

	many := climateLifeOf(t, climateYard(15, map[string]float64{"Cfb": 1.2, "Cfa": 1, "Csa": 0.95, "BWh": 0.7, "BSk": 0.8, "Dfb": 1.1, "Dfa": 1}))
	f, err = many.Forecast("a yard", at)
	require.NoError(t, err)
	assert.True(t, f.ByUV)
	assert.Contains(t, f.Notes[1], "goes beyond what was seen")
	at.Class, place.UVMJm2Year = "Dfc", nil
	unknown, err := climate.Of(place, climate.DefaultAssumptions())
	require.NoError(t, err)
	unknown.Class = "Dfc"
	f, err = many.Forecast("a yard", unknown)
	require.NoError(t, err)
	assert.False(t, f.ByUV)
	assert.Nil(t, f.UVMJm2)
	assert.Nil(t, f.Rows[0].SameClass)
	assert.Contains(t, f.Notes[0], "isn’t known")

	var js bytes.Buffer
	require.NoError(t, f.WriteJSON(&js))
	assert.True(t, json.Valid(js.Bytes()))
}

func TestMeanLoadNeedsAll(t *testing.T) {
	known := climatePatch{yearly: &exposure.Load{UVMJm2: new(100.0)}}
	mean, ok := meanLoad([]climatePatch{known, {yearly: &exposure.Load{UVMJm2: new(200.0)}}}, exposure.UV)
	assert.True(t, ok)
	assert.InDelta(t, 150, mean, 1e-12)
	for _, other := range []climatePatch{{}, {yearly: &exposure.Load{}}} {
		_, ok = meanLoad([]climatePatch{known, other}, exposure.UV)
		assert.False(t, ok)
	}
}

func TestRoundUp(t *testing.T) {
	for x, want := range map[float64]float64{0.2: 1, 9.1: 10, 10: 10, 47.2: 48, 101: 110, 1234: 1300} {
		assert.Equal(t, want, roundUp(x), x)
	}
}
