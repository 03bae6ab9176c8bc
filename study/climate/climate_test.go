package climate

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

func constant(x float64) *Monthly {
	m := Monthly{}.each(func(int, float64) float64 { return x })
	return &m
}

func of(t *testing.T, p Place) Climate {
	t.Helper()
	c, err := Of(p, DefaultAssumptions())
	require.NoError(t, err)
	return c
}

// sunny is a place where the sun shines for a share of the daylight.
func sunny(latitudeDeg, share float64) Place {
	hours := daylightHours(latitudeDeg).each(func(_ int, h float64) float64 { return share * h })
	return Place{LatitudeDeg: latitudeDeg, Normals: Normals{SunshineH: &hours}}
}

// TestDoseOfReferencePlaces: 5 % of half of Ra at 25.8° N is 298 MJ/m² a year,
// and of six tenths at 33.4° N 333; summed with another program. The two are
// about what natural weathering sites in Florida and Arizona are said to get.
func TestDoseOfReferencePlaces(t *testing.T) {
	assert.InDelta(t, 298, of(t, sunny(25.8, 0.5)).Year.UV.HorizontalMJm2, 0.5)
	assert.InDelta(t, 333, of(t, sunny(33.4, 0.7)).Year.UV.HorizontalMJm2, 0.5)
}

// TestVerticalShare: at mid latitudes a vertical panel gets roughly half to two
// thirds of a horizontal one's yearly dose. Common practice, no source.
func TestVerticalShare(t *testing.T) {
	for _, latitude := range []float64{-45, 30, 40, 50} {
		for _, share := range []float64{0.2, 0.5, 0.8} {
			uv := of(t, sunny(latitude, share)).Year.UV
			ratio := uv.VerticalMJm2 / uv.HorizontalMJm2
			assert.True(t, 0.48 < ratio && ratio < 0.67, "%g°, sunshine %g: %g", latitude, share, ratio)
		}
	}
}

// Whatever the place, doses are finite and in order, a vertical panel gets
// some wherever a horizontal one does, and polar night has none.
func TestDoseAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		latitude := rapid.Float64Range(-90, 90).Draw(t, "latitude")
		share := rapid.Float64Range(0, 1).Draw(t, "sunshine")
		c, err := Of(sunny(latitude, share), DefaultAssumptions())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range c.Months {
			const rounding = 1e-9
			h, v := m.UV.HorizontalMJm2, m.UV.VerticalMJm2
			switch {
			case m.RaMJm2 == 0 && (h != 0 || v != 0):
				t.Fatalf("%s: %+v in polar night", m.Month, *m.UV)
			case m.RaMJm2 > 0 && !(h > 0 && v > 0 && !math.IsInf(v, 0)):
				t.Fatalf("%s: %+v", m.Month, *m.UV)
			case h < m.UVOvercast.HorizontalMJm2-rounding || h > m.UVClear.HorizontalMJm2+rounding:
				t.Fatalf("%s: %g is not between %g and %g", m.Month, h, m.UVOvercast.HorizontalMJm2, m.UVClear.HorizontalMJm2)
			}
		}
	})
}

// More sunshine never means less ultraviolet on a horizontal panel.
func TestDoseRisesWithSunshine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		latitude := rapid.Float64Range(-66, 66).Draw(t, "latitude")
		less := rapid.Float64Range(0, 0.95).Draw(t, "sunshine")
		a, err := Of(sunny(latitude, less), DefaultAssumptions())
		if err != nil {
			t.Fatal(err)
		}
		b, err := Of(sunny(latitude, less+0.05), DefaultAssumptions())
		if err != nil {
			t.Fatal(err)
		}
		for i := range a.Months {
			if b.Months[i].UV.HorizontalMJm2 <= a.Months[i].UV.HorizontalMJm2 {
				t.Fatalf("%s: %g, with more sun %g", a.Months[i].Month, a.Months[i].UV.HorizontalMJm2, b.Months[i].UV.HorizontalMJm2)
			}
		}
		if b.Year.UV.VerticalMJm2 <= a.Year.UV.VerticalMJm2 {
			t.Fatalf("vertical %g, with more sun %g", a.Year.UV.VerticalMJm2, b.Year.UV.VerticalMJm2)
		}
	})
}

// What is known of clouds best decides, and each way agrees with the others
// when they say the same.
func TestSkyIsJudgedByTheSurest(t *testing.T) {
	p := sunny(45, 0.6)
	p.Normals.CloudPct = constant(90)
	p.UVMJm2Year = new(100.0)
	p.Normals.MaxTempC, p.Normals.MinTempC = constant(20), constant(10)
	bySun := of(t, p)
	assert.Equal(t, SkySunshine, bySun.Sky)

	p.Normals.SunshineH, p.Normals.CloudPct = nil, constant(40)
	byCloud := of(t, p)
	assert.Equal(t, SkyCloud, byCloud.Sky)
	assert.InDelta(t, bySun.Year.UV.HorizontalMJm2, byCloud.Year.UV.HorizontalMJm2, 1e-9)

	p.Normals.CloudPct, p.UVMJm2Year = nil, &bySun.Year.UV.HorizontalMJm2
	byDose := of(t, p)
	assert.Equal(t, SkyUVDose, byDose.Sky)
	assert.InDelta(t, bySun.Year.UV.HorizontalMJm2, byDose.Year.UV.HorizontalMJm2, 1e-9)
	assert.InDelta(t, bySun.Year.UV.VerticalMJm2, byDose.Year.UV.VerticalMJm2, 1e-9)

	p.UVMJm2Year = nil
	byRange := of(t, p)
	assert.Equal(t, SkyTempRange, byRange.Sky)
	// √10 · 0.16 = 0.506 of Ra
	assert.InDelta(t, 0.05*0.50596*byRange.Year.RaMJm2, byRange.Year.UV.HorizontalMJm2, 0.01)

	p.Normals.MaxTempC, p.Normals.MinTempC = nil, nil
	none := of(t, p)
	assert.Equal(t, SkyUnknown, none.Sky)
	assert.Nil(t, none.Year.UV)
	assert.InDelta(t, 0.05*0.75*none.Year.RaMJm2, none.Year.UVClear.HorizontalMJm2, 1e-6)
	assert.InDelta(t, 0.05*0.25*none.Year.RaMJm2, none.Year.UVOvercast.HorizontalMJm2, 1e-6)
}

func TestSpreadSunshine(t *testing.T) {
	assert.InDelta(t, 1700, SpreadSunshine(52, 1700).Sum(), 1e-9)
	share := of(t, Place{LatitudeDeg: 52, Normals: Normals{SunshineH: new(SpreadSunshine(52, 0.4*daylightHours(52).Sum()))}})
	assert.InDelta(t, 0.45*0.05*share.Year.RaMJm2, share.Year.UV.HorizontalMJm2, 1e-6)
}

// One heading is one heading: at 50° N a south side gets more than a north one.
func TestHeadings(t *testing.T) {
	p := sunny(50, 0.5)
	all := of(t, p).Year.UV.VerticalMJm2
	p.HeadingDeg = new(180.0)
	south := of(t, p).Year.UV.VerticalMJm2
	p.HeadingDeg = new(0.0)
	north := of(t, p).Year.UV.VerticalMJm2
	assert.Greater(t, south, all)
	assert.Less(t, north, all)
}

func TestClassIsFromTheSurest(t *testing.T) {
	p := Place{LatitudeDeg: 50, MapClass: "Dfb"}
	c := of(t, p)
	assert.Equal(t, FromMap, c.ClassFrom)
	assert.Equal(t, "Dfb", c.Class)
	assert.Equal(t, "cold winters, no dry season, warm summer", c.ClassWords)

	p.RecordClass = "Cfb"
	c = of(t, p)
	assert.Equal(t, FromRecord, c.ClassFrom)
	assert.Contains(t, strings.Join(c.Notes, " "), "The map says Dfb")

	p.Normals = Normals{MeanTempC: new(swing(28, 8)), PrecipitationMM: constant(90)}
	c = of(t, p)
	assert.Equal(t, FromRule, c.ClassFrom)
	assert.Equal(t, "Cfa", c.Class)
	require.NotNil(t, c.Koppen)
	assert.InDelta(t, 1080, c.Koppen.YearMM, 1e-9)
	assert.Contains(t, strings.Join(c.Notes, " "), "The map says Dfb")

	c = of(t, Place{LatitudeDeg: 50})
	assert.Equal(t, FromNobody, c.ClassFrom)
	assert.Empty(t, c.Class)
	assert.Nil(t, c.Year.FreezeThawDays)
	assert.Nil(t, c.Year.SaltMonths)
}

// TestSaltSeason: months with at least five days of frost. Common practice, no
// source. Berlin's means of stations.txt put November to March into it.
func TestSaltSeason(t *testing.T) {
	for _, s := range stations(t, "stations.txt") {
		c := of(t, Place{LatitudeDeg: 52, Normals: Normals{MaxTempC: &s.max, MinTempC: &s.min}})
		var months []string
		for _, m := range c.Months {
			if *m.Salt {
				months = append(months, m.Month)
			}
		}
		assert.Len(t, months, *c.Year.SaltMonths)
		switch s.name {
		case "Berlin Germany":
			assert.Equal(t, []string{"Jan", "Feb", "Mar", "Nov", "Dec"}, months)
		case "Dubai United Arab Emirates", "Singapore Singapore":
			assert.Empty(t, months)
		}
	}
}

func TestWeather(t *testing.T) {
	c := of(t, Place{Normals: Normals{MeanTempC: constant(25), PrecipitationMM: constant(60), HumidityPct: constant(100)}})
	assert.InDelta(t, 365, *c.Year.HeatDays, 1e-9, "25 °C is the reference")
	assert.InDelta(t, 720, *c.Year.PrecipitationMM, 1e-9)
	assert.InDelta(t, 25, *c.Months[0].DewPointC, 1e-9)
	assert.InDelta(t, 25, *c.Year.MeanTempC, 1e-9)
	assert.InDelta(t, 12.1, c.Months[0].DaylightH, 0.15)
}

func TestPlaceProblems(t *testing.T) {
	for want, p := range map[string]Place{
		`latitude: "91": expected -90 to 90 degrees, north positive`:                     {LatitudeDeg: 91},
		`latitude: "NaN": expected -90 to 90 degrees, north positive`:                    {LatitudeDeg: math.NaN()},
		`longitude: "200": expected -180 to 180 degrees, east positive`:                  {LongitudeDeg: 200},
		`altitude_m: "9000": expected -430 to 6000 metres`:                               {AltitudeM: new(9000.0)},
		`heading: "361": expected 0 to 360 degrees, 0 north, 90 east`:                    {HeadingDeg: new(361.0)},
		`uv_mj_m2_year: "701": expected 0 to 700 MJ/m² a year`:                           {UVMJm2Year: new(701.0)},
		`temp_c Jan: "80": expected -70 to 50 °C`:                                        {Normals: Normals{MeanTempC: &Monthly{80}}},
		`rain_mm Jan: "-1": expected 0 to 5000 mm`:                                       {Normals: Normals{PrecipitationMM: &Monthly{-1}}},
		`cloud_pct Jan: "101": expected 0 to 100 %`:                                      {Normals: Normals{CloudPct: &Monthly{101}}},
		`sunshine_h Jan: "500": expected 0 to 403 hours, as long as the sun is up there`: {Normals: Normals{SunshineH: &Monthly{500}}},
		`max_c, min_c: give both or neither`:                                             {Normals: Normals{MaxTempC: constant(1)}},
		`max_c Jan: "1": expected at least min_c, 2 °C`:                                  {Normals: Normals{MaxTempC: &Monthly{1}, MinTempC: &Monthly{2}}},
	} {
		_, err := Of(p, DefaultAssumptions())
		var problems study.Problems
		require.ErrorAs(t, err, &problems, want)
		assert.Equal(t, want, problems[0].String())
	}
}

func TestMonthlyOf(t *testing.T) {
	assert.Nil(t, MonthlyOf(nil))
	assert.Nil(t, (*Monthly)(nil).Slice())
	values := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}
	m := MonthlyOf(values)
	values[0] = 99
	assert.Equal(t, 1.0, m[0], "a copy")
	assert.Equal(t, 78.0, m.Sum())
	assert.Panics(t, func() { MonthlyOf([]float64{1}) })
}

func BenchmarkOf(b *testing.B) {
	p := sunny(48, 0.5)
	p.Normals.MeanTempC, p.Normals.PrecipitationMM = new(swing(19, 0)), constant(60)
	for b.Loop() {
		if _, err := Of(p, DefaultAssumptions()); err != nil {
			b.Fatal(err)
		}
	}
}
