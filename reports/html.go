package reports

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"

	"gonum.org/v1/plot/vg"
)

//go:embed templates
var templates embed.FS

// WriteHTML writes the report as one page that stands by itself: no network,
// no script but that which shows the plots' numbers, the plots drawn into it.
func (r *Report) WriteHTML(w io.Writer) error {
	page, err := r.page()
	if err != nil {
		return fmt.Errorf("write report of study %s: %w", r.Study.Code, err)
	}
	parsed, err := template.New("report.html").
		Funcs(template.FuncMap{"drop": Drop, "unbroken": Unbroken, "number": number, "figure": newFigure, "cell": cellHTML, "columns": columnsOf}).
		ParseFS(templates, "templates/report.html")
	if err != nil {
		return fmt.Errorf("write report of study %s: %w", r.Study.Code, err)
	}
	var buf bytes.Buffer // so that no half page is written
	if err := parsed.Execute(&buf, page); err != nil {
		return fmt.Errorf("write report of study %s: %w", r.Study.Code, err)
	}
	if _, err := buf.WriteTo(w); err != nil {
		return fmt.Errorf("write report of study %s: %w", r.Study.Code, err)
	}
	return nil
}

// limitsInText finds limits such as "9.0–11.5", "22–45 %" and "80°–85°", and bounds
// such as "< 0.001".
var limitsInText = regexp.MustCompile(`[\d.]+°?–[\d.]+(°| %)?|&[lg]t; [\d.]+`)

// Unbroken keeps limits and bounds of a text on one line, in elements of the
// class nowrap: a dash between numbers is a place to break a line otherwise.
func Unbroken(sentence string) template.HTML {
	return template.HTML(limitsInText.ReplaceAllString(template.HTMLEscapeString(sentence), `<span class="nowrap">$0</span>`))
}

// estimateWithLimits is how an estimate is written whose limits stand in brackets.
var estimateWithLimits = regexp.MustCompile(`^[\d.,]+( %)? \([^()]+\)$|^not reached \([^()]+\)$`)

// cellHTML puts limits, which stand in brackets, below their estimate.
func cellHTML(text string) template.HTML {
	if !estimateWithLimits.MatchString(text) {
		return Unbroken(text)
	}
	value, limits, _ := strings.Cut(text, " (")
	return template.HTML(fmt.Sprintf(`<span class="nowrap">%s</span> <small>(%s</small>`,
		template.HTMLEscapeString(value), template.HTMLEscapeString(limits)))
}

// figure is a plot on the page, drawn for a desk and for a phone.
type figure struct {
	*Plot
	Wide, Narrow template.HTML
}

func newFigure(p *Plot) (figure, error) {
	f := figure{Plot: p}
	for _, size := range []struct {
		width vg.Length
		name  string
		into  *template.HTML
	}{{wideWidth, "wide", &f.Wide}, {narrowWidth, "narrow", &f.Narrow}} {
		svg, err := p.inline(size.width, p.Name+"-"+size.name)
		if err != nil {
			return figure{}, err
		}
		*size.into = template.HTML(svg) // every text in it is escaped where it is drawn
	}
	return f, nil
}
