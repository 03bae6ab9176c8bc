package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// TestClimate asks a loaded fleet for life by climate, and for places that
// aren't in it.
func TestClimate(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	must(t, "load", demoLog(t), url)

	out := must(t, "climate", url)
	assert.Contains(t, out, "Coatings last longest in")
	assert.Contains(t, out, "Clocks")
	assert.Contains(t, out, "The coating job")
	assert.Contains(t, out, "GeoNames")
	for line := range strings.Lines(out) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
	var all struct {
		Life struct {
			Rows []struct {
				Coating, Climate string
				Pooled           *struct {
					Months float64 `json:"median_life_months"`
				}
			}
		} `json:"life_by_climate"`
		Clocks  map[string]any
		Jobs    map[string]any `json:"job_effects"`
		Credits []string
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "climate", "--json", url)), &all))
	require.Len(t, all.Life.Rows, 12)
	require.NotNil(t, all.Life.Rows[0].Pooled)
	assert.NotEmpty(t, all.Clocks)
	assert.NotEmpty(t, all.Jobs)
	assert.Len(t, all.Credits, 3)

	city := must(t, "climate", url, "--city", "Phoenix", "--sunshine-h", "3870")
	assert.Contains(t, city, "Forecast for Phoenix, AZ, US: hot desert (BWh)")
	assert.Contains(t, city, "In the study’s BWh")
	assert.Contains(t, strings.Join(strings.Fields(city), " "), "not a warranty")
	var forecast struct {
		Forecast struct {
			Coatings []struct {
				Forecast struct {
					Low  float64 `json:"median_life_low_months"`
					High float64 `json:"median_life_high_months"`
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "climate", url, "--forecast", "QUAY", "--json")), &forecast))
	require.Len(t, forecast.Forecast.Coatings, 3)
	limits := forecast.Forecast.Coatings[0].Forecast
	assert.Greater(t, limits.High, 2*limits.Low)

	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"--level", "1"}, exitUsage, "confidence level 1"},
		{[]string{"--forecast", "QUAY", "--city", "Oulu"}, exitUsage, "name one of"},
		{[]string{"--forecast", "NOWHERE"}, exitFailed, "beadspan site list"},
		{[]string{"--sunshine-h", "1800"}, exitUsage, "say which place the weather is of"},
		{[]string{"--lon", "4"}, exitUsage, "both --lat and --lon"},
		{[]string{"--city", "Lodnon"}, exitFailed, `"London, ENG, GB"`},
	} {
		r := beadspan(t, append([]string{"climate", url}, c.args...)...)
		assert.Equal(t, c.code, r.code, "%v: %s", c.args, r.err)
		assert.Contains(t, r.err, c.says, "%v", c.args)
		assert.Empty(t, r.out, "%v", c.args)
	}
}

func TestClimateHelpHasAnExample(t *testing.T) {
	assert.Contains(t, must(t, "climate", "--help"), "beadspan climate --demo --city")
}
