package reports

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"beadspan/study"
)

func reportOf(t testing.TB, y *yard) *Report {
	t.Helper()
	s := study.Study{ID: study.NewID(), Code: "S-1", Question: "Which <b>lasts</b> & why?", Protocol: atOnce()}
	options := DefaultOptions(study.DayOf(2026, 3, 1), "test")
	options.BootstrapReplicates = 99
	r, err := New(t.Context(), s, y.fleet, options)
	require.NoError(t, err)
	return r
}

// pages are the reports that a page must cope with.
func pages() map[string]*yard {
	young := newYard()
	for range 4 {
		young.held("Cfb", "A", 100)
	}
	unread := newYard()
	unread.vehicle("Cfb", "A")
	return map[string]*yard{"full": madeUpYard(1, 40), "young": young, "unread": unread, "empty": newYard()}
}

// TestPage walks through the page as a browser and a screen reader would. The
// rules are those of HTML and of WCAG 2.2: 1.3.1, 2.1.1, 2.4.1, 2.4.6, 3.1.1.
func TestPage(t *testing.T) {
	for name, y := range pages() {
		t.Run(name, func(t *testing.T) {
			var buf bytes.Buffer
			require.NoError(t, reportOf(t, y).WriteHTML(&buf))
			requireBalanced(t, buf.String())
			doc, err := html.Parse(&buf)
			require.NoError(t, err)
			ids := map[string]bool{}
			level, headings := 0, 0
			for n := range doc.Descendants() {
				if n.Type != html.ElementNode {
					continue
				}
				if id := attribute(n, "id"); id != "" {
					assert.False(t, ids[id], "id %s is there twice", id)
					ids[id] = true
				}
				switch n.DataAtom {
				case atom.Html:
					assert.Equal(t, "en", attribute(n, "lang"))
				case atom.H1, atom.H2, atom.H3, atom.H4:
					next := int(n.Data[1] - '0')
					assert.LessOrEqual(t, next, level+1, "heading %s skips a level", textOf(n))
					level = next
					headings++
				case atom.Th:
					assert.Contains(t, []string{"col", "row"}, attribute(n, "scope"))
				case atom.Script:
					assert.Equal(t, strings.TrimSpace(PlotScript()), strings.TrimSpace(n.FirstChild.Data), "the only script is that of the plots")
				case atom.Link, atom.Img, atom.Iframe:
					t.Errorf("the page has a %s", n.Data)
				case atom.Svg:
					if attribute(n, "aria-hidden") == "" {
						assert.Equal(t, "img", attribute(n, "role"))
						assert.NotEmpty(t, attribute(n, "aria-labelledby"))
					}
				}
				for _, a := range n.Attr {
					if a.Key == "href" || a.Key == "src" {
						assert.True(t, strings.HasPrefix(a.Val, "#"), a.Val)
					}
				}
				if class := attribute(n, "class"); class == "scroll" {
					assert.Equal(t, "0", attribute(n, "tabindex"), "what scrolls must take the keyboard")
					assert.NotEmpty(t, attribute(n, "aria-label"))
				}
			}
			for n := range doc.Descendants() {
				for _, id := range strings.Fields(attribute(n, "aria-labelledby")) {
					assert.True(t, ids[id], "nothing has the id %s", id)
				}
			}
			if name == "empty" {
				assert.Contains(t, textOf(doc), "Load a log")
				assert.NotContains(t, textOf(doc), "How long patches last", "nothing is said where nothing is known")
			} else {
				assert.Greater(t, headings, 8)
			}
			assert.Contains(t, textOf(doc), "not a warranty")
			assert.NotContains(t, textOf(doc), "NaN")
			assert.NotRegexp(t, `\bInf\b`, textOf(doc))
			assert.Contains(t, textOf(doc), "Which <b>lasts</b> & why?", "a question is text, never markup")
		})
	}
}

func TestFacts(t *testing.T) {
	y := newYard()
	y.vehicle("Cfb", "A", clean{50, 105})
	day := (serviceBegan + 50).String()
	assert.Equal(t, "1 vehicle, 1 patch, 1 reading · checkups on "+day+" · report made 2026-03-01", reportOf(t, y).facts())
	y.vehicle("Cfb", "A", clean{60, 105})
	assert.Contains(t, reportOf(t, y).facts(), "checkups from "+day+" to "+(serviceBegan+60).String())
}

// TestPageLoadsNothing: the only addresses on the page name the SVG format.
func TestPageLoadsNothing(t *testing.T) {
	var buf bytes.Buffer
	require.NoError(t, reportOf(t, madeUpYard(1, 40)).WriteHTML(&buf))
	page := strings.ReplaceAll(buf.String(), "http://www.w3.org/2000/svg", "")
	for _, loads := range []string{"http:", "https:", "//", "url(", "@import", "<script src", "fetch(", "import("} {
		assert.NotContains(t, page, loads)
	}
}

// TestColoursStandOut checks text against WCAG 2.2, 1.4.3 (4.5 to 1) and lines
// against 1.4.11 (3 to 1) on paper. Lines beyond the third, which a study
// seldom needs, are told apart by dash and label.
func TestColoursStandOut(t *testing.T) {
	contrast := func(r, g, b uint8) float64 {
		linear := func(c uint8) float64 {
			v := float64(c) / 255
			if v <= 0.04045 {
				return v / 12.92
			}
			return math.Pow((v+0.055)/1.055, 2.4)
		}
		return 1.05 / (0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b) + 0.05)
	}
	require.InDelta(t, 21, contrast(0, 0, 0), 1e-9) // black on white, by definition
	assert.Greater(t, contrast(ink.R, ink.G, ink.B), 4.5)
	assert.Greater(t, contrast(muted.R, muted.G, muted.B), 4.5)
	assert.Greater(t, contrast(petrol.R, petrol.G, petrol.B), 4.5)
	for _, c := range lineColours[:3] {
		assert.Greater(t, contrast(c.R, c.G, c.B), 3.0)
	}
}

func TestUnbroken(t *testing.T) {
	for sentence, want := range map[string]string{
		"by 9.8 months for A<b> (9.0–11.5) and B": `by 9.8 months for A&lt;b&gt; (<span class="nowrap">9.0–11.5</span>) and B`,
		"likely 22–45 %.":                         `likely <span class="nowrap">22–45 %</span>.`,
		"80.1°–85.0°":                             `<span class="nowrap">80.1°–85.0°</span>`,
		"A–B, 12.5 or more":                       "A–B, 12.5 or more",
		"p < 0.001":                               `p <span class="nowrap">&lt; 0.001</span>`,
	} {
		assert.Equal(t, want, string(Unbroken(sentence)))
	}
}

// TestDecayAxisHoldsItsMarks: the threshold is drawn even where nobody reads so
// low.
func TestDecayAxisHoldsItsMarks(t *testing.T) {
	y := newYard()
	y.vehicle("Cfb", "A", falling(95, 900)...)
	p := atOnce()
	p.Threshold = 42
	r, err := New(t.Context(), study.Study{Code: "S", Protocol: p}, y.fleet, DefaultOptions(study.DayOf(2026, 3, 1), "test"))
	require.NoError(t, err)
	picture := r.Plots()[0].picture.(decayPicture)
	assert.Equal(t, 40.0, picture.low)
	assert.Equal(t, 120.0, picture.high)
}

func TestPlotsAreWellFormed(t *testing.T) {
	plots := reportOf(t, madeUpYard(1, 40)).Plots()
	var names []string
	for _, p := range plots {
		names = append(names, p.Name)
		var buf bytes.Buffer
		require.NoError(t, p.WriteSVG(&buf))
		requireXML(t, buf.String())
		assert.Contains(t, buf.String(), "<title id=")
		buf.Reset()
		require.NoError(t, p.WritePNG(&buf))
		picture, err := png.Decode(&buf)
		require.NoError(t, err)
		assert.Equal(t, 1488, picture.Bounds().Dx())
		for _, row := range p.Table.Rows {
			assert.Len(t, row, len(p.Table.Head))
		}
	}
	assert.Equal(t, []string{"survival", "climate-A-1", "climate-B--2", "decay-A-1", "patches-A-1", "lives-A-1",
		"decay-B--2", "patches-B--2", "lives-B--2"}, names)
}

func TestPlotTextIsEscaped(t *testing.T) {
	p := reportOf(t, madeUpYard(1, 40)).Plots()[0]
	p.Title, p.Description = `A <b> & "c"`, `d <e> & 'f'`
	var buf bytes.Buffer
	require.NoError(t, p.WriteSVG(&buf))
	requireXML(t, buf.String())
	assert.Contains(t, html.UnescapeString(buf.String()), p.Title)
	assert.Contains(t, html.UnescapeString(buf.String()), p.Description)
}

// TestSameSeedSameReport: all of it, byte for byte.
func TestSameSeedSameReport(t *testing.T) {
	write := func(r *Report) string {
		var buf bytes.Buffer
		require.NoError(t, r.WriteHTML(&buf))
		require.NoError(t, r.Life.WriteJSON(&buf))
		require.NoError(t, r.Life.WriteText(&buf))
		return buf.String()
	}
	y := madeUpYard(1, 40)
	first := write(reportOf(t, y))
	assert.Equal(t, first, write(reportOf(t, y)))
	other := reportOf(t, y)
	options := other.Options
	options.Seed++
	other, err := New(t.Context(), other.Study, y.fleet, options)
	require.NoError(t, err)
	assert.NotEqual(t, first, write(other))
}

func TestWriteErrorsComeBack(t *testing.T) {
	r := reportOf(t, madeUpYard(1, 40))
	for name, write := range map[string]func(io.Writer) error{
		"html": r.WriteHTML, "text": r.Life.WriteText, "json": r.Life.WriteJSON, "csv": r.Life.WriteCSV, "reviews": r.WriteReviewsCSV,
		"svg": r.Plots()[0].WriteSVG, "png": r.Plots()[0].WritePNG,
	} {
		assert.ErrorIs(t, write(full{}), io.ErrShortWrite, name)
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// requireXML reads text to its end as XML.
func requireXML(t *testing.T, text string) {
	t.Helper()
	decoder := xml.NewDecoder(strings.NewReader(text))
	for {
		_, err := decoder.Token()
		if err == io.EOF {
			return
		}
		require.NoError(t, err)
	}
}

// requireBalanced checks that every element is closed in its turn, which
// html.Parse forgives.
func requireBalanced(t *testing.T, page string) {
	t.Helper()
	void := map[string]bool{"meta": true, "br": true, "hr": true, "input": true}
	var open []string
	tokens := html.NewTokenizer(strings.NewReader(page))
	for {
		switch kind := tokens.Next(); kind {
		case html.ErrorToken:
			require.ErrorIs(t, tokens.Err(), io.EOF)
			require.Empty(t, open)
			return
		case html.StartTagToken:
			if name, _ := tokens.TagName(); !void[string(name)] {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			name, _ := tokens.TagName()
			require.NotEmpty(t, open, "stray </%s>", name)
			require.Equal(t, open[len(open)-1], string(name))
			open = open[:len(open)-1]
		}
	}
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// textOf joins the text below a node that people read.
func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode && d.Parent.Data != "script" && d.Parent.Data != "style" {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

func BenchmarkReport(b *testing.B) {
	y := madeUpYard(1, 160)
	s := study.Study{Code: "S-1", Protocol: atOnce()}
	for b.Loop() {
		r, err := New(b.Context(), s, y.fleet, DefaultOptions(study.DayOf(2026, 3, 1), "test"))
		require.NoError(b, err)
		require.NoError(b, r.WriteHTML(io.Discard))
	}
}
