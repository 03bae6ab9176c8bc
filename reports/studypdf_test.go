package reports

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"

	"beadspan/study"
)

// printed is a report as PDF.
func printed(t *testing.T, r *Report, paper Paper) []byte {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, r.WritePDF(&buf, paper))
	return buf.Bytes()
}

// textPages is the text of each page as a program that isn't ours finds it, in the
// order in which it was printed.
func textPages(t *testing.T, pdf []byte) []string {
	t.Helper()
	return strings.Split(strings.TrimSuffix(inColumns(t, pdf), "\f"), "\f")
}

// packed is text without blanks: lines may end anywhere.
func packed(text string) string { return strings.Join(strings.Fields(text), "") }

// changedReport is one whose rules and records were changed.
func changedReport(t *testing.T, y *yard) *Report {
	r := reportOf(t, y)
	r.Options.Provenance = Provenance{
		Schema: "0019_add_study_claim", DataSHA256: strings.Repeat("0123456789abcdef", 4),
		Changes: []study.StudyChange{{At: time.Date(2025, 4, 5, 10, 0, 0, 0, time.UTC), By: "an-account", Why: "the maker’s sheet asks for it",
			Changes: []study.Change{{Field: "threshold", Before: "95", After: "90"}}}},
		Amendments: []study.Amendment{{State: study.Accepted, Changes: make([]study.Change, 2)}, {State: study.Proposed, Changes: make([]study.Change, 1)}},
	}
	return r
}

// TestPDFSaysWhatThePageSays: every paragraph, point, note and cell of every
// section is on paper, read back by a program that isn't ours.
func TestPDFSaysWhatThePageSays(t *testing.T) {
	r := changedReport(t, madeUpYard(1, 40))
	edges := regexp.MustCompile(`(?m)^(Durability report · study|Made .* page \d+ of).*$`)
	paper := packed(edges.ReplaceAllString(strings.Join(textPages(t, printed(t, r, A4)), ""), ""))
	has := func(texts ...string) {
		for _, text := range texts {
			if !strings.Contains(paper, packed(text)) {
				t.Errorf("it isn’t on paper: %s", text)
			}
		}
	}
	for _, s := range r.Sections() {
		has(s.Heading)
		for _, part := range s.Parts {
			has(part.Heading, part.Text, part.Small)
			has(slices.Concat(part.Points, part.Notes)...)
			tables := []*Table{part.Table}
			if part.Plot != nil {
				has(part.Plot.Title, part.Plot.Description)
				tables = append(tables, &part.Plot.Table)
			}
			for _, table := range tables {
				if table == nil {
					continue
				}
				has(table.Caption)
				for _, row := range table.Rows[:min(len(table.Rows), mostPrintedRows)] {
					has(row...)
				}
			}
		}
	}
	has("2025-04-05", "the maker’s sheet asks for it")
	assert.False(t, strings.Contains(paper, "an-account"), "who changed the rules is an account’s name")
}

// TestPDFPages: each page knows its number and how many there are, and the
// contents lead where they say.
func TestPDFPages(t *testing.T) {
	for name, y := range pages() {
		r := changedReport(t, y)
		for _, paper := range Papers() {
			t.Run(name+" "+string(paper), func(t *testing.T) {
				pdf := printed(t, r, paper)
				boxed(t, pdf, paper)
				all := textPages(t, pdf)
				assert.Equal(t, len(all), bytes.Count(pdf, []byte("/Type /Page\n")))
				for i, text := range all[1:] {
					assert.Contains(t, text, fmt.Sprintf("page %d of %d", i+2, len(all)))
				}
				entries := regexp.MustCompile(`(?m)^(.*?)[ .]*\n?(\d+)$`)
				for _, s := range r.Sections() {
					found := false
					for _, entry := range entries.FindAllStringSubmatch(all[1], -1) {
						if strings.TrimSpace(entry[1]) == s.Heading {
							var page int
							fmt.Sscan(entry[2], &page)
							found = true
							assert.True(t, strings.Contains("\n"+all[page-1], "\n"+s.Heading+"\n"), "%s on page %d", s.Heading, page)
						}
					}
					assert.True(t, found, "%s isn’t in the contents:\n%s", s.Heading, all[1])
				}
				assert.Equal(t, 2, bytes.Count(pdf, []byte("/FontFile2")), "both fonts are embedded")
				assert.Contains(t, string(pdf), "/Outlines")
			})
		}
	}
}

// Long names, and coatings and climates by the dozen, keep within the page.
func TestPDFOfManyAndLongNames(t *testing.T) {
	y := newYard()
	for i := range 14 {
		for j := range 6 {
			coating := fmt.Sprintf("%s%02d", strings.Repeat("W", 38), i)
			v := y.vehicle([]string{"Cfb", "BWh", "Dfb", "Cfa", "Aw", "ET"}[j], coating, clean{30 + j, 105}, clean{100 + i, 104}, clean{200, 80}, clean{300, 78})
			y.patch(v, coating, clean{90, 104}, clean{220 + j, 70})
		}
	}
	r := changedReport(t, y)
	r.Study.Code = strings.Repeat("STUDY-", 6)
	r.Study.Question = strings.Repeat("Wie lange hält das? θ 90° ≥ m² µm é œ ß – “x” ", 6)
	pdf := printed(t, r, A4)
	boxed(t, pdf, A4)
	assert.Contains(t, packed(textPages(t, pdf)[0]), packed(r.Study.Question), "on the title page")
	assert.Less(t, len(pdf), 2<<20, "bytes")
}

func TestSameReportSamePDF(t *testing.T) {
	r := changedReport(t, madeUpYard(1, 40))
	assert.True(t, bytes.Equal(printed(t, r, A4), printed(t, r, A4)))
	var options *bytes.Buffer
	require.ErrorIs(t, r.WritePDF(options, "a5"), ErrOptions)
	require.ErrorIs(t, r.WritePDF(full{}, A4), io.ErrShortWrite)
}

// A row that is higher than a page goes on on the next.
func TestTableParts(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("word ", 3000))
	table := Table{Caption: "Long", Head: []string{"A", "B"}, Rows: [][]string{{"first", "short"}, {"second", long}, {"third", "short"}}}
	s := Section{Name: "x", Heading: "X"}
	s.Show(table)
	p := newPress(vg.Point{X: 595, Y: 842})
	p.section(s, &printedAppendix{})
	require.Greater(t, len(p.pages), 1)
	words := 0
	for _, page := range p.pages {
		words += len(page.ops)
		assert.GreaterOrEqual(t, p.y, pressBottom-6)
	}
	assert.Greater(t, words, 3000/20)
}
