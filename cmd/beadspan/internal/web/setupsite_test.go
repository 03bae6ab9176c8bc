package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// berlin is the line of study/climate/testdata/stations.txt, whose class by rule
// is that of the published map: Cfb.
var berlin = url.Values{"city": {"Berlin"}, "max_c": {"3 3 8 13 19 21 24 24 19 14 7 4"}, "min_c": {"-1 -2 1 4 9 12 14 14 11 7 3 0"},
	"rain_mm": {"42 36 30 36 48 72 36 45 39 24 51 51"}}

// A site is found by the city's name, looked at, and kept.
func TestAddSiteByCity(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	b := x.as(t, "owner")
	at := "/studies/S1/set-up/site"

	// Springfield is many cities, and none is much larger than the others.
	which := b.get(at + "?city=Springfield")
	assert.Equal(t, http.StatusOK, which.status)
	assert.Contains(t, which.body, "?city=Springfield%2c%20IL%2c%20US")
	assert.Contains(t, b.get(at+"?city=Lodnon").body, "London, ENG, GB", "a slip is found out")
	nowhere := b.get(at + "?city=qqqqzzzz")
	assert.Equal(t, http.StatusUnprocessableEntity, nowhere.status)
	assert.Contains(t, nowhere.body, "No city of 50,000 people")

	look := b.get(at + "?" + berlin.Encode())
	assert.Equal(t, http.StatusOK, look.status)
	assert.Contains(t, look.body, "Cfb: temperate, no dry season, warm summer (by rule from the monthly normals)")
	assert.Contains(t, look.body, "52.52° N 13.41° E")
	form := url.Values{"code": {"two words"}}
	for name, values := range berlin {
		form[name] = values
	}
	bad := b.post(at, form)
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.body, "without spaces")
	assert.Contains(t, bad.body, berlin.Get("rain_mm"), "nothing that was typed is lost")
	form.Set("code", "BERLIN")
	added := b.get(b.post(at, form).header.Get("Location"))
	assert.Contains(t, added.body, "Site BERLIN is stored.")
	assert.Contains(t, added.body, "temperate, no dry season, warm summer")
	site, err := x.db.SiteByCode(t.Context(), "BERLIN")
	require.NoError(t, err)
	assert.Equal(t, "Cfb", site.Koppen)
	assert.Equal(t, "Berlin, 16, DE", site.Name)
	assert.Equal(t, 510.0, sum(site.PrecipitationMM), "the year of the station's line")

	form.Set("sunshine_h", "1626")
	proposed := b.get(b.post(at, form).header.Get("Location"))
	assert.Contains(t, proposed.body, "waits for an owner’s decision")
}

func sum(xs []float64) (total float64) {
	for _, x := range xs {
		total += x
	}
	return total
}

// A site is named by its position, in degrees with a comma or a point.
func TestAddSiteByPosition(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	b := x.as(t, "owner")
	at := "/studies/S1/set-up/site"
	// Phoenix's desert is BWh on the published map: Beck et al., Scientific Data
	// 10 (2023) 724.
	desert := url.Values{"latitude": {"33,45"}, "longitude": {"-112.07"}, "code": {"PHX"}, "sunshine_h": {"3870"}}
	assert.Contains(t, b.get(at+"?"+desert.Encode()).body, "BWh: hot desert (from the map)")
	require.Equal(t, http.StatusSeeOther, b.post(at, desert).status)
	site, err := x.db.SiteByCode(t.Context(), "PHX")
	require.NoError(t, err)
	assert.InDelta(t, -112.07, site.LongitudeDeg, 0)
	assert.NotNil(t, site.UVMJm2Year)

	for want, form := range map[string]url.Values{
		"Give both, latitude and longitude.":         {"latitude": {"50"}},
		"expected a number":                          {"latitude": {"50"}, "longitude": {"east"}},
		"-90 to 90 degrees":                          {"latitude": {"91"}, "longitude": {"0"}},
		"No land is within 150 km":                   {"latitude": {"30"}, "longitude": {"-40"}},
		"expected twelve numbers, January first":     {"city": {"Oulu"}, "temp_c": {"1 2 3"}},
		"as long as the sun is up":                   {"city": {"Oulu"}, "sunshine_h": {"9000"}},
		"expected one number for the year or twelve": {"city": {"Oulu"}, "sunshine_h": {"1 2"}},
		"expected a number, or nothing where it isn": {"city": {"Oulu"}, "altitude_m": {"high"}},
	} {
		for _, a := range []answer{b.get(at + "?" + form.Encode()), b.post(at, form)} {
			assert.Equal(t, http.StatusUnprocessableEntity, a.status, want)
			assert.Contains(t, a.body, want)
		}
	}
}

func TestSuggestCities(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	b := x.as(t, "owner")
	var names []string
	require.NoError(t, json.Unmarshal([]byte(b.get("/studies/S1/set-up/cities.json?city=Lond").body), &names))
	assert.Equal(t, "London, ENG, GB", names[0])
	assert.Equal(t, "[]", b.get("/studies/S1/set-up/cities.json?city=").body)
	assert.Equal(t, http.StatusOK, b.get("/studies/S1/set-up/cities.json?city="+strings.Repeat("x", 3000)).status)
}
