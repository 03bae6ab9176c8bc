package main

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"beadspan/study/store/storetest"
)

// pageTable is a table as it stands on the report's page.
type pageTable struct {
	section, caption string
	head             []string
	rows             [][]string
}

// tablesOf reads the tables of the page, in order.
func tablesOf(t *testing.T, page string) []pageTable {
	t.Helper()
	file, err := os.Open(page)
	require.NoError(t, err)
	defer file.Close()
	doc, err := html.Parse(file)
	require.NoError(t, err)
	var tables []pageTable
	section := ""
	for n := range doc.Descendants() {
		switch n.DataAtom {
		case atom.H2:
			section = words(n)
		case atom.Table:
			tables = append(tables, pageTable{section: section})
		case atom.Caption:
			tables[len(tables)-1].caption = words(n)
		case atom.Tr:
			last := &tables[len(tables)-1]
			var cells []string
			for cell := range n.ChildNodes() {
				cells = append(cells, words(cell))
			}
			if n.Parent.DataAtom == atom.Thead {
				last.head = cells
			} else {
				last.rows = append(last.rows, cells)
			}
		}
	}
	return tables
}

func words(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// sources say in which results the numbers of a section's tables stand.
var sources = map[string][]string{
	"How long patches last":               {"life"},
	"Life by climate":                     {"climate", "report"}, // which has the sites
	"Each climate by itself":              {"life-by-climate"},
	"What the coating job did":            {"climate"},
	"How the contact angle falls":         {"decay"},
	"Coatings compared":                   {"compare", "life"}, // which has how many are spent
	"What makers claim":                   {"claim", "life"},   // which has the curves
	"Where the vehicles and patches went": {"report"},
	"How good the data are":               {"report"},
	"What the rules decided":              {"report"},
}

// notTraced lists tables without numbers of an estimate or a count, with the reason.
var notTraced = map[string]string{
	"What was worked out, how, and where it is described": "names methods and years of publication",
	"What the figures depend on":                          "settings, which the commands of the bundle repeat",
}

// byMonths ends the captions of tables that sum readings up which decay.json lists
// one by one.
const byMonths = "clean contact angle by months in service"

// printedNumber finds numbers as people read them: "1,204", "−0.5", "12.3".
var printedNumber = regexp.MustCompile(`[−-]?\d[\d,]*(\.\d+)?`)

// printedBound finds what is only said to be less or more: "< 0.001", "> 0.99".
var printedBound = regexp.MustCompile(`([<>]) ?(\d[\d.]*)`)

// TestEveryNumberIsTraced: each number in each table of the page is one of the
// results, rounded; and of the results of its row, where the row has a name that
// the results know. What the page says is what is printed: TestPDFSaysWhatThePageSays.
func TestEveryNumberIsTraced(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", demoLog(t), url)
	dir := reportOfDemo(t, url)
	u := unpack(t, filepath.Join(dir, reportBundle))
	tables := tablesOf(t, filepath.Join(dir, reportPage))
	require.Greater(t, len(tables), 20)
	traced, altered, missed := 0, 0, 0
	for _, table := range tables {
		if notTraced[table.caption] != "" || strings.HasSuffix(table.caption, byMonths) || strings.HasPrefix(table.section, "Needs looking at") || table.section == "The protocol and its history" {
			continue
		}
		names := sources[table.section]
		if !assert.NotEmpty(t, names, "nobody says where the numbers of %q in %q come from", table.caption, table.section) {
			continue
		}
		for _, row := range table.rows {
			scope := u.scope(names, row)
			for i, cell := range row {
				rest := nameless(cell, i, scope)
				share := strings.Contains(cell+table.head[i], "%")
				for _, bound := range printedBound.FindAllStringSubmatch(rest, -1) {
					traced++
					assert.True(t, scope.within(bound[1], bound[2]), "%s in the row %q of %q", bound[0], row[0], table.caption)
				}
				for _, number := range printedNumber.FindAllString(printedBound.ReplaceAllString(rest, ""), -1) {
					traced++
					assert.True(t, scope.has(number, share), "%s in %q of the row %q of %q is in no result", number, cell, row[0], table.caption)
					altered++
					missed += one(scope.has(alter(number), share))
				}
			}
		}
	}
	t.Logf("%d numbers traced; of %d altered by one in the last digit %d would pass", traced, altered, missed)
	assert.Greater(t, traced, 1000)
	assert.Less(t, float64(missed), 0.4*float64(altered), "most altered numbers must be seen; small counts are found somewhere else too")
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}

// alter adds one to the last digit of a number.
func alter(number string) string {
	plain := strings.ReplaceAll(strings.ReplaceAll(number, ",", ""), "−", "-")
	_, decimals, _ := strings.Cut(plain, ".")
	x, err := strconv.ParseFloat(plain, 64)
	if err != nil {
		panic(err)
	}
	return strconv.FormatFloat(x+math.Pow(10, -float64(len(decimals))), 'f', len(decimals), 64)
}

// traceScope is the numbers that a row may show, and the names that it goes by.
type traceScope struct {
	numbers []float64
	names   map[string]bool
}

// scope gathers the numbers of the results that a row is about: of all objects
// that have a name of the row as one of their values, all names of the row that
// any object has. Where the results know none of its names they are all in scope.
func (u unpacked) scope(results, row []string) traceScope {
	s := traceScope{names: map[string]bool{}}
	var objects []any
	for _, name := range results {
		objects = append(objects, u.results[name])
		collectWords(u.results[name], s.names)
	}
	var keys []string
	for _, part := range append(regexp.MustCompile(`, | and `).Split(row[0], -1), row[1:]...) {
		if s.names[part] && regexp.MustCompile(`\p{L}`).MatchString(part) && !slices.Contains(keys, part) {
			keys = append(keys, part)
		}
	}
	var found []any
	for _, object := range objects {
		found = append(found, about(object, keys)...)
	}
	for _, part := range strings.Split(row[0], ", ") { // a curve's month
		month, err := strconv.ParseFloat(part, 64)
		if err != nil {
			continue
		}
		var points []any
		for _, object := range found {
			points = append(points, atMonth(object, month)...)
		}
		if len(points) > 0 {
			found = points
		}
	}
	for _, object := range found {
		s.collect(object)
	}
	return s
}

// about lists the objects within a value that have all of the keys, or some where
// none has all.
func about(value any, keys []string) []any {
	found := []any{value}
	for i, key := range keys {
		var narrower []any
		for _, object := range found {
			narrower = append(narrower, holding(object, key)...)
		}
		switch {
		case len(narrower) > 0:
			found = narrower
		case i > 0:
			found = append(found, holding(value, key)...)
		}
	}
	return found
}

// atMonth lists the objects within a value that are about a month.
func atMonth(value any, month float64) []any {
	var found []any
	switch value := value.(type) {
	case map[string]any:
		if value["months"] == month {
			return []any{value}
		}
		for _, v := range value {
			found = append(found, atMonth(v, month)...)
		}
	case []any:
		for _, v := range value {
			found = append(found, atMonth(v, month)...)
		}
	}
	return found
}

// collectWords gathers the strings of a value.
func collectWords(value any, into map[string]bool) {
	switch value := value.(type) {
	case map[string]any:
		for _, v := range value {
			collectWords(v, into)
		}
	case []any:
		for _, v := range value {
			collectWords(v, into)
		}
	case string:
		into[value] = true
	}
}

// holding lists the smallest objects within a value that have a string for one of
// their own values.
func holding(value any, text string) []any {
	var found []any
	switch value := value.(type) {
	case map[string]any:
		for _, v := range value {
			if v == text {
				return []any{value}
			}
		}
		for _, v := range value {
			found = append(found, holding(v, text)...)
		}
	case []any:
		for _, v := range value {
			found = append(found, holding(v, text)...)
		}
	}
	return found
}

func (s *traceScope) collect(value any) {
	switch value := value.(type) {
	case map[string]any:
		for _, v := range value {
			s.collect(v)
		}
	case []any:
		for _, v := range value {
			s.collect(v)
		}
	case float64:
		s.numbers = append(s.numbers, value)
	}
}

// nameless takes names of the results out of a cell, so that their digits don't
// count.
func nameless(cell string, column int, s traceScope) string {
	if s.names[cell] || column == 0 { // which names the row
		return ""
	}
	return cell
}

// has reports whether a number is one of the scope, rounded to its decimals; a
// share in per cent, days also as months.
func (s traceScope) has(number string, share bool) bool {
	plain := strings.ReplaceAll(strings.ReplaceAll(number, ",", ""), "−", "-")
	_, decimals, _ := strings.Cut(plain, ".")
	return slices.ContainsFunc(s.numbers, func(x float64) bool {
		is := func(x float64) bool { return strconv.FormatFloat(x, 'f', len(decimals), 64) == plain }
		return is(x) || share && x >= 0 && x <= 1 && is(100*x) || len(decimals) == 1 && is(x/30.4375)
	})
}

// within reports whether a number of the scope is less or more than a bound.
func (s traceScope) within(sign, bound string) bool {
	at, err := strconv.ParseFloat(bound, 64)
	if err != nil {
		panic(err)
	}
	return slices.ContainsFunc(s.numbers, func(x float64) bool { return sign == "<" && x < at || sign == ">" && x > at })
}
