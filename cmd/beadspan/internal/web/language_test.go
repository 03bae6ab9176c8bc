package web

import (
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/number"

	"beadspan/study"
)

// Every language has every message, with the same values in it.
func TestMessagesAreWhole(t *testing.T) {
	braces := regexp.MustCompile(`\{\w+\}`)
	english := languages[0]
	for _, l := range languages[1:] {
		assert.Equal(t, slices.Sorted(maps.Keys(english.messages)), slices.Sorted(maps.Keys(l.messages)), l.Tag)
		for key, text := range english.messages {
			assert.ElementsMatch(t, braces.FindAllString(text, -1), braces.FindAllString(l.messages[key], -1), "%s: %s", l.Tag, key)
			assert.NotEmpty(t, l.messages[key], "%s: %s", l.Tag, key)
		}
	}
}

// TestMessagesAreUsed finds messages that no page says, and pages that say
// messages that there aren't. A key put together from a word, as in
// "standing.%s", stands for all that begin like it.
func TestMessagesAreUsed(t *testing.T) {
	english := languages[0].messages
	used := map[string]bool{}
	var prefixes []string
	named := regexp.MustCompile("[\"`]([a-z_]+(?:\\.[a-z_0-9%]+)+)[\"`]")
	require.NoError(t, filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		if d.IsDir() || strings.HasSuffix(path, "_test.go") || !slices.Contains([]string{".go", ".html", ".js"}, filepath.Ext(path)) || strings.HasPrefix(path, "testdata") {
			return nil
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			used[m[1]], used[m[1]+".one"], used[m[1]+".other"] = true, true, true
			if prefix, is := strings.CutSuffix(m[1], "%s"); is {
				prefixes = append(prefixes, prefix)
			}
		}
		for _, m := range regexp.MustCompile("(?:\\bt|plural|\\.text\\(|\\.plural\\() ?\"([a-z_.]+)\"").FindAllStringSubmatch(string(text), -1) {
			_, has := english[m[1]]
			_, counted := english[m[1]+".other"]
			assert.True(t, has || counted, "%s says %s", path, m[1])
		}
		return nil
	}))
	for key := range english {
		begins := slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(key, p) })
		assert.True(t, used[key] || begins, "%s is never said", key)
	}
}

// Every word that records may hold has its message.
func TestWordsOfRecords(t *testing.T) {
	var keys []string
	add := func(prefix string, words ...string) {
		for _, w := range words {
			keys = append(keys, prefix+w)
		}
	}
	add("standing.", wordsOf(study.Standings())...)
	add("meaning.", wordsOf(study.Standings())...)
	add("care.", wordsOf(study.CareKinds())...)
	add("due.", wordsOf(study.DueKinds())...)
	add("role.", wordsOf(study.Roles())...)
	add("role_may.", wordsOf(study.Roles())...)
	add("garage.", wordsOf(study.Garages())...)
	add("orientation.", wordsOf(study.Orientations())...)
	add("substrate.", wordsOf(study.Substrates())...)
	add("finish.", wordsOf(study.Finishes())...)
	for _, key := range keys {
		assert.Contains(t, languages[0].messages, key)
	}
}

func wordsOf[T ~string](list []T) []string {
	words := make([]string, len(list))
	for i, x := range list {
		words[i] = string(x)
	}
	return words
}

// Numbers as Unicode's CLDR has them for the languages, in the edition that
// golang.org/x/text has: French sets thousands apart by a no-break space.
func TestNumbersByLanguage(t *testing.T) {
	for tag, want := range map[string][3]string{
		"en": {"1,234,567", "12.5", "1 vehicle"},
		"de": {"1.234.567", "12,5", "1 Fahrzeug"},
		"fr": {"1\u00a0234\u00a0567", "12,5", "1 véhicule"},
	} {
		l := languages[slices.IndexFunc(languages, func(l *language) bool { return l.Tag == tag })]
		assert.Equal(t, want, [3]string{l.number(1234567), l.decimal(12.5, 1), l.plural("vehicles.count", 1)}, tag)
	}
	// CLDR's plural rules: in French nothing is one.
	assert.Equal(t, "0 vehicles", languages[0].plural("vehicles.count", 0))
	assert.Equal(t, "0 Fahrzeuge", languages[1].plural("vehicles.count", 0))
	assert.Equal(t, "0 véhicule", languages[2].plural("vehicles.count", 0))
}

func TestUnits(t *testing.T) {
	// Water boils at 212 °F; a marathon's 42.195 km are 26.2 miles.
	us, si := preferences{Units: "us"}, preferences{Units: "si"}
	assert.Equal(t, "212 °F", us.Temperature(languages[0], 100))
	assert.Equal(t, "-40 °F", us.Temperature(languages[0], -40))
	assert.Equal(t, "100,0 °C", si.Temperature(languages[1], 100))
	assert.Equal(t, "26,219 mi", us.Distance(languages[0], 42195))
	assert.Equal(t, "42.195 km", si.Distance(languages[1], 42195))
}

func TestLanguageIsChosen(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	for accept, want := range map[string]string{
		"": "en", "de-AT,de;q=0.9,en;q=0.8": "de", "fr-CA": "fr", "ja, fr;q=0.2": "fr", "ja": "en", "@@@": "en",
	} {
		a := x.browser(t).do("GET", "/set-up", nil, map[string][]string{"Accept-Language": {accept}})
		assert.Contains(t, a.body, `<html lang="`+want+`">`, accept)
	}
	b := x.browser(t)
	require.Equal(t, 303, b.post("/settings", map[string][]string{"language": {"de"}, "look": {"dark"}, "units": {"us"}}).status)
	a := b.do("GET", "/settings", nil, map[string][]string{"Accept-Language": {"fr"}})
	assert.Contains(t, a.body, `<html lang="de" data-look="dark">`)
	assert.Contains(t, a.body, `value="us" checked`)
}

func TestParseMessages(t *testing.T) {
	got := map[string]string{"e": "f"}
	require.NoError(t, parseMessages("# said\n\na.b = c = d\n", got))
	assert.Equal(t, map[string]string{"a.b": "c = d", "e": "f"}, got)
	for _, bad := range []string{"a.b", "a = b\na = c", "e = g"} {
		require.ErrorContains(t, parseMessages(bad, map[string]string{"e": "f"}), "line ")
	}
}

// Numbers below a thousand are written without the printer, which is the
// reference: golang.org/x/text has the rules of the Unicode CLDR.
func TestNumbersAsThePrinterWritesThem(t *testing.T) {
	for _, l := range languages {
		for n := range 2000 {
			assert.Equal(t, l.printer.Sprint(number.Decimal(n)), l.number(n))
			x := float64(n) + 0.123
			for decimals := range 3 {
				assert.Equal(t, l.printer.Sprint(number.Decimal(x, number.Scale(decimals))), l.decimal(x, decimals))
			}
		}
		for _, x := range []float64{0, 0.05, 999, 999.96, -1.26, math.Inf(1)} {
			assert.Equal(t, l.printer.Sprint(number.Decimal(x, number.Scale(1))), l.decimal(x, 1))
		}
	}
}
