package exposure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
	"beadspan/study/climate"
)

// From a date to the same date a year later is one year of the climate, leap
// years too; and times laid end to end add up.
func TestYearsAndParts(t *testing.T) {
	site := newTestSite(t, winters())
	year := site.Climate.Year
	v, p := washed()
	e := site.Patch(v, p, DefaultShelter())
	rapid.Check(t, func(r *rapid.T) {
		from := e.begin + study.Day(rapid.IntRange(0, 3000).Draw(r, "from"))
		y, m, d := from.Time().Date()
		if m == 2 {
			r.Skip("a day of 28 isn't one of 29")
		}
		whole := e.Between(from, study.DayOf(y+1, m, d))
		for _, c := range []struct{ got, want *float64 }{
			{whole.UVMJm2, &year.UV.HorizontalMJm2}, {whole.FreezeThawDays, year.FreezeThawDays}, {whole.HeatDays, year.HeatDays},
		} {
			if diff := *c.got - *c.want; diff > 1e-6 || diff < -1e-6 {
				r.Fatalf("a year from %v: %v, want %v", from, *c.got, *c.want)
			}
		}
		between := from + study.Day(rapid.IntRange(0, 800).Draw(r, "between"))
		to := between + study.Day(rapid.IntRange(0, 800).Draw(r, "to"))
		first, second, both := e.Between(from, between), e.Between(between, to), e.Between(from, to)
		for _, c := range Clocks() {
			one, _ := first.Of(c)
			other, _ := second.Of(c)
			sum, known := both.Of(c)
			if diff := one + other - sum; c != Washes && (!known || diff > 1e-6 || diff < -1e-6 || one < 0) {
				r.Fatalf("%s: %v and %v add up to %v", c, one, other, sum)
			}
		}
	})
}

// TestPartsOfMonths counts days by the calendar: 10 of April's 30, all of May,
// 5 of June's 30, and 14 of 28 or 29 in February.
func TestPartsOfMonths(t *testing.T) {
	site := newTestSite(t, winters())
	v, p := washed()
	p.Orientation = study.Vertical
	e := site.Patch(v, p, DefaultShelter())
	uv := func(month int) float64 { return site.Climate.Months[month-1].UV.VerticalMJm2 }

	got := e.Between(study.DayOf(2025, 4, 21), study.DayOf(2025, 6, 6))
	assert.InDelta(t, uv(4)/3+uv(5)+uv(6)/6, *got.UVMJm2, 1e-9)
	assert.Equal(t, 46.0, got.Days)
	assert.InDelta(t, 46*40, *got.Km, 1e-9, "14,610 km in 365.25 days")
	leap := e.Between(study.DayOf(2028, 2, 1), study.DayOf(2028, 2, 15))
	assert.InDelta(t, uv(2)*14/29, *leap.UVMJm2, 1e-9)
	common := e.Between(study.DayOf(2027, 2, 1), study.DayOf(2027, 2, 15))
	assert.InDelta(t, uv(2)*14/28, *common.UVMJm2, 1e-9)

	// The salt season here: months with five frost days or more.
	salt := e.Between(study.DayOf(2024, 8, 1), study.DayOf(2025, 8, 1))
	days := 0
	for i, m := range site.Climate.Months {
		if *m.FrostDays >= 5 {
			days += []int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[i]
		}
	}
	assert.InDelta(t, float64(days), *salt.SaltDays, 1e-9)
	assert.Greater(t, days, 90)

	// Before service there is no load.
	assert.Equal(t, Load{Days: 1}.Days, e.Between(study.DayOf(2024, 1, 1), study.DayOf(2024, 5, 4)).Days)
	assert.Zero(t, *e.Between(study.DayOf(2025, 2, 1), study.DayOf(2025, 1, 1)).UVMJm2)
}

// A roof takes ultraviolet away, and nothing else.
func TestShelter(t *testing.T) {
	site := newTestSite(t, winters())
	shelter := Shelter{Indoors: 0.4, Carport: 0.6, Outdoors: 0.9, Unknown: 0.5}
	for garage, share := range map[study.Garage]float64{
		study.Indoors: 0.4, study.Carport: 0.6, study.Outdoors: 0.9, study.GarageUnknown: 0.5,
	} {
		v, p := washed()
		v.Garage = garage
		e := site.Patch(v, p, shelter)
		year := e.Yearly()
		assert.InDelta(t, share*site.Climate.Year.UV.HorizontalMJm2, *year.UVMJm2, 1e-9)
		assert.InDelta(t, *site.Climate.Year.FreezeThawDays, *year.FreezeThawDays, 1e-9)
		assert.InDelta(t, *site.Climate.Year.HeatDays, *year.HeatDays, 1e-9)
		since, known := e.Since(UV, 365)
		assert.True(t, known)
		assert.InDelta(t, *year.UVMJm2, since, 1e-6)
	}
}

func TestSinceIsBetween(t *testing.T) {
	site := newTestSite(t, winters())
	v, p := washed(study.Care{Day: study.DayOf(2024, 9, 1), Kind: study.MaintenanceWash})
	e := site.Patch(v, p, DefaultShelter())
	load := e.Between(p.InService(), p.InService()+200)
	for _, c := range Clocks() {
		want, known := load.Of(c)
		require.True(t, known, c)
		got, known := e.Since(c, 200)
		require.True(t, known, c)
		assert.InDelta(t, want, got, 1e-9, c)
		assert.Empty(t, e.Why(c))
		assert.NotEmpty(t, c.Unit())
	}
	assert.Panics(t, func() { load.Of("miles") })
}

func TestUnknownLoads(t *testing.T) {
	bare := winters()
	bare.UVMJm2Year, bare.MeanTempC = nil, nil
	site := newTestSite(t, bare)
	v, p := washed()
	v.KmPerYear = nil
	e := site.Patch(v, p, DefaultShelter())
	load, year := e.Between(p.InService(), p.InService()+100), e.Yearly()
	for _, c := range Clocks()[1:] {
		_, known := load.Of(c)
		assert.False(t, known, c)
		_, known = year.Of(c)
		assert.False(t, known, c)
		_, known = e.Since(c, 10)
		assert.False(t, known, c)
		assert.NotEmpty(t, e.Why(c), c)
	}
	assert.Contains(t, e.Why(UV), "cloudy")
	assert.Contains(t, e.Why(FreezeThaw), "monthly mean temperatures")

	nowhere := Sites{}.Of(study.NewID()).Patch(v, p, DefaultShelter())
	assert.Contains(t, nowhere.Why(Heat), "site isn't known")
	assert.Nil(t, nowhere.Yearly().UVMJm2)

	bare.LatitudeDeg = 91
	_, err := NewSites([]study.Site{bare}, nil, climate.DefaultAssumptions())
	assert.ErrorContains(t, err, "climate of site NORTH")
}
