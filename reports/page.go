package reports

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// page is what the page's template reads.
type page struct {
	*Report
	Style          template.CSS
	Heading, Facts string
}

func (r *Report) page() (*page, error) {
	style, err := templates.ReadFile("templates/report.css")
	if err != nil {
		return nil, err
	}
	return &page{Report: r, Style: template.CSS(style), Heading: r.heading(), Facts: r.facts()}, nil
}

// heading is what the report is about.
func (r *Report) heading() string {
	if r.Study.Question == "" {
		return "How long do these coatings last?"
	}
	return r.Study.Question
}

// facts is the line below the heading.
func (r *Report) facts() string {
	facts := []string{fmt.Sprintf("%s, %s, %s", vehicles(r.Size.Vehicles), patches(r.Size.Patches),
		count(r.Size.Readings, "reading", "readings"))}
	switch {
	case r.First == nil:
	case *r.First == *r.Last:
		facts = append(facts, fmt.Sprintf("checkups on %s", r.First))
	default:
		facts = append(facts, fmt.Sprintf("checkups from %s to %s", r.First, r.Last))
	}
	return strings.Join(append(facts, fmt.Sprintf("report made %s", r.Options.Made)), " · ")
}

// nothingYet is the answer of a study without coated patches.
const nothingYet = "There are no coated patches in this study yet. Load a log of coating jobs and checkups, then make the report again."

// PlotScript and PlotStyle are what shows numbers where somebody points.
func (p *page) PlotScript() template.JS { return template.JS(PlotScript()) }

// PlotStyle goes with PlotScript.
func (p *page) PlotStyle() template.CSS { return template.CSS(PlotStyle()) }

// NothingYet is the answer of a study without coated patches.
func (p *page) NothingYet() string { return nothingYet }

// estimateCaution stands below the answer.
const estimateCaution = "These are estimates from the vehicles of this study, not a warranty. They tell how long water was repelled, as the study’s protocol measures it, and of no other property."

// Caution stands below the answer.
func (p *page) Caution() string { return estimateCaution }

// headline is a row's answer in a few large words, and what they mean.
type headline struct{ Large, Small string }

// Headline returns the median, or nil where there is none to show.
func (row LifeRow) Headline() *headline {
	m := row.Median
	switch {
	case m == nil:
		return nil
	case math.IsInf(m.Months, 1) && m.Limits != nil && !math.IsInf(m.Limits.Low, 1):
		return &headline{"more than half still hold",
			fmt.Sprintf("after the %s months followed; half last %s months or more", months(row.LongestMonths), months(m.Limits.Low))}
	case math.IsInf(m.Months, 1):
		return &headline{"more than half still hold", fmt.Sprintf("after the %s months followed", months(row.LongestMonths))}
	case m.Limits == nil:
		return &headline{months(m.Months) + " months", "until half of its patches were spent"}
	}
	return &headline{months(m.Months) + " months", "until half of its patches were spent; likely " + monthLimits(*m.Limits)}
}
