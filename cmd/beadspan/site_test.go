package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/climate"
	"beadspan/study/store/storetest"
)

// nowhere keeps a command from any database.
const nowhere = "--database-url=postgres://nowhere.invalid/x"

// berlin is the line of study/climate/testdata/stations.txt; a class by rule,
// that of the published map.
var berlin = []string{"--max-c", "3 3 8 13 19 21 24 24 19 14 7 4", "--min-c", "-1 -2 1 4 9 12 14 14 11 7 3 0",
	"--rain-mm", "42 36 30 36 48 72 36 45 39 24 51 51"}

func TestSiteClimateNeedsNoDatabase(t *testing.T) {
	out := must(t, nowhere, "site", "climate", "--city", "phoenix", "--sunshine-h", "3870")
	assert.Contains(t, out, "Phoenix, AZ, US (33.45° N 112.07° W)")
	assert.Contains(t, out, "BWh: hot desert (from the map)")
	assert.Contains(t, out, "no salt season")
	assert.Len(t, regexp.MustCompile(`(?m)^[A-Z][a-z]{2} +[\d.]+ +-  █+`).FindAllString(out, -1), 12, "a bar for each month")
	for _, credit := range climate.Credits() {
		assert.Contains(t, strings.Join(strings.Fields(out), " "), credit)
	}
	for line := range strings.Lines(out) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
		assert.NotRegexp(t, ` \n$`, line)
	}
}

func TestSiteClimateByRule(t *testing.T) {
	out := must(t, append([]string{nowhere, "site", "climate", "--city", "Berlin"}, berlin...)...)
	assert.Contains(t, out, "Cfb: temperate, no dry season, warm summer (by rule from the monthly normals)")
	assert.Contains(t, out, "salt season Jan Feb Mar Nov Dec")

	// The same rain on the other side of the border of temperature: the map
	// differs, and that is said.
	colder := must(t, nowhere, "site", "climate", "--city", "Berlin", "--temp-c", "-6 -5 0 6 12 16 18 17 12 6 0 -4",
		"--rain-mm", "42 36 30 36 48 72 36 45 39 24 51 51")
	assert.Contains(t, colder, "Dfb: cold winters")
	assert.Contains(t, strings.Join(strings.Fields(colder), " "), "The map says Cfb")
}

// TestSiteClimateJSON: machines get everything with units in the names.
func TestSiteClimateJSON(t *testing.T) {
	var got struct {
		Name        string
		LatitudeDeg float64 `json:"latitude_deg"`
		Class       string
		ClassFrom   string `json:"class_from"`
		MapClass    string `json:"map_class"`
		Koppen      *climate.Koppen
		Sky         string
		Months      []climate.Month
		Year        climate.Year
		Assumptions climate.Assumptions
		Notes       []string
		Credits     []string
	}
	args := append([]string{nowhere, "site", "climate", "--lat=52.52", "--lon=13.41", "--json"}, berlin...)
	require.NoError(t, json.Unmarshal([]byte(must(t, args...)), &got))
	assert.Equal(t, "Cfb", got.Class)
	assert.Equal(t, "rule", got.ClassFrom)
	assert.Equal(t, "Cfb", got.MapClass)
	assert.InDelta(t, 510, got.Koppen.YearMM, 1e-9)
	assert.Equal(t, "temp_range", got.Sky)
	assert.Len(t, got.Months, 12)
	assert.NotNil(t, got.Year.UV)
	assert.Equal(t, climate.DefaultAssumptions(), got.Assumptions)
	assert.Equal(t, climate.Credits(), got.Credits)
	assert.NotEmpty(t, got.Notes)
	assert.Equal(t, 52.52, got.LatitudeDeg)
}

func TestSiteAddListClimate(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	assert.Contains(t, must(t, url, "site", "list"), "no site yet")

	out := must(t, url, "site", "add", "harbour", "--city", "Bremerhaven", "--sunshine-h", "1600", "--name", "Harbour lane")
	assert.Contains(t, out, "site harbour: added")
	assert.Contains(t, out, "Cfb: temperate")
	assert.Contains(t, out, "GeoNames")
	again := must(t, url, "site", "add", "harbour", "--city", "bremerhaven, DE", "--sunshine-h", "1600", "--name", "Harbour lane")
	assert.Contains(t, again, "nothing is different")
	other := must(t, url, "site", "add", "harbour", "--city", "Bremerhaven", "--sunshine-h", "1700", "--name", "Harbour lane")
	assert.Contains(t, other, "proposed as an amendment")
	assert.Contains(t, must(t, append([]string{url, "site", "add", "south", "--lat", "-33.9", "--lon", "-70.7"}, berlin...)...), "added")

	list := must(t, url, "site", "list")
	assert.Contains(t, list, "Harbour lane")
	assert.Contains(t, list, "33.90° S 70.70° W")
	var listed struct{ Sites []siteRecord }
	require.NoError(t, json.Unmarshal([]byte(must(t, url, "site", "list", "--json")), &listed))
	require.Len(t, listed.Sites, 2)
	site := listed.Sites[0]
	assert.Equal(t, "Cfb", site.Class)
	assert.Len(t, site.MeanTempC, 12)
	assert.Contains(t, site.Note, "Beck et al. 2023")
	assert.Len(t, listed.Sites[1].PrecipitationMM, 12)

	// The stored site says what the command that stored it said.
	shown := must(t, url, "site", "climate", "harbour")
	assert.Contains(t, shown, "harbour, Harbour lane (53.5")
	assert.Equal(t, ultraviolet(out), ultraviolet(shown))
	assert.Contains(t, shown, "as recorded with the site")
	assert.Contains(t, shown, "Kept with the site: class from the map of Beck et al. 2023")
	// What is said now goes before what is stored.
	assert.NotEqual(t, ultraviolet(out), ultraviolet(must(t, url, "site", "climate", "harbour", "--sunshine-h", "2500")))
}

// ultraviolet is the number of the line that says the dose on horizontal panels.
func ultraviolet(out string) string {
	_, after, _ := strings.Cut(out, "Ultraviolet")
	return strings.Fields(after)[0]
}

func TestSiteFails(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"climate"}, exitUsage, "name one of"},
		{[]string{"climate", "harbour", "--city", "Oulu"}, exitUsage, "name one of"},
		{[]string{"climate", "--city", "Oulu", "--lat", "1"}, exitUsage, "can't be used together"},
		{[]string{"climate", "--city", "Oulu", "--lon", "1"}, exitUsage, "not both"},
		{[]string{"climate", "--lat", "1"}, exitUsage, "both --lat and --lon"},
		{[]string{"climate", "--lat", "91", "--lon", "0"}, exitUsage, "-90 to 90 degrees"},
		{[]string{"climate", "--lat", "30", "--lon", "-40"}, exitFailed, "no land within 150 km"},
		{[]string{"climate", "--city", "Springfield"}, exitFailed, `"Springfield, IL, US"`},
		{[]string{"climate", "--city", "Lodnon"}, exitFailed, `"London, ENG, GB"`},
		{[]string{"climate", "--city", "Oulu", "--rain-mm", "1 2 3"}, exitUsage, "expected twelve numbers, January first, not 3"},
		{[]string{"climate", "--city", "Oulu", "--rain-mm", "1 2 3 4 5 6 7 8 9 10 11 x"}, exitUsage, `"x" is not a number`},
		{[]string{"climate", "--city", "Oulu", "--sunshine-h", "1 2"}, exitUsage, "one number for the year or twelve"},
		{[]string{"climate", "--city", "Oulu", "--sunshine-h", "9000"}, exitUsage, "as long as the sun is up"},
		{[]string{"climate", "--city", "Oulu", "--normals", "none.csv"}, exitUsage, "none.csv"},
		{[]string{"climate", "nobody"}, exitFailed, "there is no site"},
		{[]string{"add", "two words", "--city", "Oulu"}, exitUsage, "without spaces"},
		{[]string{"add", "x", "--country", "FI"}, exitUsage, "--country goes with --city"},
		{[]string{"add", "x", "--city", "Oulu", "--altitude-m", "9000"}, exitUsage, "-430 to 6000 metres"},
	} {
		r := beadspan(t, append([]string{url, "site"}, c.args...)...)
		assert.Equal(t, c.code, r.code, "%v: %s", c.args, r.err)
		assert.Contains(t, r.err, c.says, "%v", c.args)
		assert.Empty(t, r.out, "%v", c.args)
	}
	assert.Contains(t, must(t, url, "site", "list"), "no site yet", "nothing was stored")
}

func normalsFile(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "normals.csv")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// The file says the same as the options, in its own ways of writing.
func TestSiteNormalsFile(t *testing.T) {
	months := strings.Fields("Jan Feb Mar Apr May June July August Sep Oct Nov December")
	lines := []string{"\ufeffMonth;max_c;min_c;rain_mm"}
	high, low, rain := strings.Fields(berlin[1]), strings.Fields(berlin[3]), strings.Fields(berlin[5])
	for i, month := range months {
		lines = append(lines, month+";"+high[i]+",0;"+low[i]+";"+rain[i])
	}
	file := normalsFile(t, strings.Join(lines, "\r\n")+"\r\n")
	byFile := must(t, nowhere, "site", "climate", "--city", "Berlin", "--normals", file)
	assert.Equal(t, must(t, append([]string{nowhere, "site", "climate", "--city", "Berlin"}, berlin...)...), byFile)
}

func TestSiteNormalsFileFails(t *testing.T) {
	good := "month,temp_c\n1,1\n2,1\n3,1\n4,1\n5,1\n6,1\n7,1\n8,1\n9,1\n10,1\n11,1\n12,1\n"
	for want, text := range map[string]string{
		`normals.csv, row 3, temp_c: "?": expected a number`: strings.Replace(good, "2,1", "2,?", 1),
		`normals.csv, row 4, month: "5": expected 3 or mar`:  strings.Replace(good, "3,1", "5,1", 1),
		`normals.csv, row 1, rain: expected month, temp_c`:   strings.Replace(good, "temp_c", "rain", 1),
		`normals.csv, row 1, temp_c: this column is there`:   "month,temp_c,temp_c" + strings.ReplaceAll(good[12:], ",1\n", ",1,1\n"),
		`row 1, month: expected this column`:                 strings.ReplaceAll("temp_c,rain_mm"+good[12:], "month", "x"),
		`expected a heading and twelve rows, not 1`:          "month,temp_c\n",
		`not 0 rows in all`:                                  "",
		`normals.csv, row 2: wrong number of fields`:         strings.Replace(good, "1,1", "1", 1),
		`row 2, temp_c: "NaN": expected a number`:            strings.Replace(good, "1,1", "1,NaN", 1),
		`larger than a file of twelve rows`:                  strings.Repeat("x", maxNormalsBytes+1),
	} {
		r := beadspan(t, nowhere, "site", "climate", "--city", "Oulu", "--normals", normalsFile(t, text))
		assert.NotZero(t, r.code, want)
		assert.Contains(t, r.err, want)
	}
}

// The examples of the help do what they say.
func TestSiteHelpExamples(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	for _, command := range [][]string{{"site"}, {"site", "add"}, {"site", "climate"}} {
		_, examples, found := strings.Cut(must(t, append(command, "--help")...), "Example:\n")
		require.True(t, found, command)
		ran := 0
		for line := range strings.Lines(examples) {
			words := strings.Split(strings.TrimSpace(line), `"`)
			if !strings.HasPrefix(words[0], "beadspan ") {
				continue
			}
			args := []string{url}
			for i, word := range words {
				if i%2 == 1 {
					args = append(args, word)
				} else {
					args = append(args, strings.Fields(strings.TrimPrefix(word, "beadspan "))...)
				}
			}
			assert.NotEmpty(t, must(t, args...), line)
			ran++
		}
		assert.GreaterOrEqual(t, ran, 2, command)
	}
}
