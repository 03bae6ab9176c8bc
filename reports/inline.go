package reports

import (
	"html/template"
	"regexp"
	"strings"

	"gonum.org/v1/plot/vg"
)

// Inline draws the plot as part of a page, as wide as the page has room for in
// CSS pixels. id is no other element's on the page, and its title is left to
// the page. Its looks are attributes of their own rather than of style, which a
// page's content policy may forbid; colours can then be changed by a sheet.
func (p Plot) Inline(id string, width float64) (template.HTML, error) {
	svg, err := p.inline(vg.Length(width), id)
	if err != nil {
		return "", err
	}
	svg = styles.ReplaceAllStringFunc(svg, asAttributes)
	return template.HTML(svg), nil // every text in it is escaped where it is drawn
}

// styles finds style attributes. Quotes within text are escaped, so that no
// text looks like one.
var styles = regexp.MustCompile(`\sstyle="[^"]*"`)

// asAttributes writes what a style attribute says as attributes of SVG.
func asAttributes(style string) string {
	_, quoted, _ := strings.Cut(style, `"`)
	var out strings.Builder
	for one := range strings.SplitSeq(strings.TrimSuffix(quoted, `"`), ";") {
		if name, value, is := strings.Cut(one, ":"); is {
			out.WriteString(" " + strings.TrimSpace(name) + `="` + strings.TrimSpace(value) + `"`)
		}
	}
	return out.String()
}
