package reports

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"beadspan/study/climate"
)

// page is what the page's template reads.
type page struct {
	*Report
	Style                       template.CSS
	Heading, Facts              string
	SurvivalPlots, ClimatePlots []figure
	LifeByClimate               *figure // nil where nothing is pooled
	DecayFigures                []decayFigures
}

func (r *Report) page() (*page, error) {
	style, err := templates.ReadFile("templates/report.css")
	if err != nil {
		return nil, err
	}
	p := &page{Report: r, Style: template.CSS(style), Heading: r.Study.Question, Facts: r.facts()}
	if p.Heading == "" {
		p.Heading = "How long do these coatings last?"
	}
	for _, plot := range r.Plots() {
		f, err := newFigure(plot)
		if err != nil {
			return nil, err
		}
		switch {
		case plot.Name == lifeByClimate:
			p.LifeByClimate = &f
		case strings.HasPrefix(plot.Name, "climate-"):
			p.ClimatePlots = append(p.ClimatePlots, f)
		case p.addDecay(f):
		default:
			p.SurvivalPlots = append(p.SurvivalPlots, f)
		}
	}
	return p, nil
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

// VisitDates tells of each coating what the visit-date mistake would say.
func (p *page) VisitDates() string {
	var medians []string
	for _, row := range p.Life.Rows {
		if words := row.visitDateWords(); words != "" {
			medians = append(medians, words)
		}
	}
	return listed(medians)
}

// ClimateWords explains the climates of the table.
func (p *page) ClimateWords() string {
	var words []string
	for _, row := range p.ByClimate.Rows {
		if meaning := climate.Words(row.Climate); meaning != "" {
			words = append(words, row.Climate+" is "+meaning)
		}
	}
	slices.Sort(words)
	return strings.Join(slices.Compact(words), "; ")
}

// DecidedTable is what the rules did.
func (p *page) DecidedTable() Table { return decidedTable(p.Decided, p.Study.Protocol) }

// PracticeTable counts where jobs and care left common practice.
func (p *page) PracticeTable() Table { return practiceTable(p.Practice) }

// ReviewGroups lists what needs looking at.
func (p *page) ReviewGroups() []reviewGroup { return reviewGroups(p.Reviews) }

// ProtocolWords says when a patch counts as spent.
func (p *page) ProtocolWords() []string { return protocolWords(p.Study.Protocol) }

// MethodWords says how the figures came about.
func (p *page) MethodWords() []string { return p.methodWords() }

// Cautions are what to mind.
func (p *page) Cautions() []string { return cautions() }

// setting is one thing that the report's figures depend on.
type setting struct{ Name, Value string }

// Reproduce lists what the report's figures depend on.
func (p *page) Reproduce() []setting {
	o, protocol := p.Options, p.Study.Protocol
	return []setting{
		{"Study", p.Study.Code},
		{"Protocol", fmt.Sprintf("metric %s, threshold %g %s, confirm %d, estimand %s",
			protocol.Metric, protocol.Threshold, protocol.Metric.Unit(), protocol.Confirm, protocol.Estimand)},
		{"Confidence level", confidence(o.Level)},
		{"Bootstrap", fmt.Sprintf("%d replicates over vehicles, seed %d", o.BootstrapReplicates, o.Seed)},
		{"Data", strings.Join([]string{vehicles(p.Size.Vehicles), patches(p.Size.Patches), count(p.Size.Checkups, "checkup", "checkups"),
			count(p.Size.Readings, "reading", "readings"), count(p.Size.Care, "care record", "care records")}, ", ")},
		{"Program", "beadspan " + p.Options.Version},
		{"Made", p.Options.Made.String()},
	}
}

// lifeView is a table of life on the page.
type lifeView struct {
	Caption     string
	By          []By
	Rows        []lifeViewRow
	Comparisons []string
	Notes       []string
}

type lifeViewRow struct {
	LifeRow
	Names []string // one for each By
}

func lifeTable(l *Life) lifeView {
	v := lifeView{Caption: "Life by " + listed(byWords(l.By)) + ", with " + confidence(l.Level) + " limits", By: l.By, Notes: l.gatheredNotes()}
	for _, row := range l.Rows {
		v.Rows = append(v.Rows, lifeViewRow{row, row.names(l.By)})
	}
	for _, c := range l.Comparisons {
		v.Comparisons = append(v.Comparisons, c.Sentence())
	}
	return v
}

func byWords(by []By) []string {
	var words []string
	for _, b := range by {
		words = append(words, string(b))
	}
	return words
}

// MedianCell, At12Cell and At24Cell write an estimate with its limits below.
func (row lifeViewRow) MedianCell() template.HTML { return twoLines(row.Median.String()) }

// At12Cell writes the share at 12 months.
func (row lifeViewRow) At12Cell() template.HTML { return twoLines(row.At12.String()) }

// At24Cell writes the share at 24 months.
func (row lifeViewRow) At24Cell() template.HTML { return twoLines(row.At24.String()) }

// twoLines puts the limits, which stand in brackets, below their estimate.
func twoLines(estimate string) template.HTML {
	value, limits, found := strings.Cut(estimate, " (")
	if !found {
		return template.HTML(template.HTMLEscapeString(value))
	}
	return template.HTML(fmt.Sprintf(`<span class="nowrap">%s</span> <small>(%s</small>`,
		template.HTMLEscapeString(value), template.HTMLEscapeString(limits)))
}

// Followed writes for how long the row's patches were followed.
func (row lifeViewRow) Followed() string {
	return months(row.HalfFollowedMonths) + ", " + months(row.LongestMonths)
}
