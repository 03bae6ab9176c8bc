package reports

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
)

// page is what the page's template reads.
type page struct {
	*Report
	Style                                   template.CSS
	Heading, Facts                          string
	SurvivalPlots, ClimatePlots, DecayPlots []figure
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
		case strings.HasPrefix(plot.Name, "climate-"):
			p.ClimatePlots = append(p.ClimatePlots, f)
		case strings.HasPrefix(plot.Name, "decay-"):
			f.Notes = r.decayNotes(plot.Name)
			p.DecayPlots = append(p.DecayPlots, f)
		default:
			p.SurvivalPlots = append(p.SurvivalPlots, f)
		}
	}
	return p, nil
}

func (r *Report) decayNotes(plotName string) []string {
	for _, d := range r.Decays {
		if plotName == "decay-"+fileName(d.Coating) {
			return d.Notes
		}
	}
	return nil
}

// facts is the line below the heading.
func (r *Report) facts() string {
	facts := []string{fmt.Sprintf("%s, %s, %s", vehicles(r.Size.Vehicles), patches(r.Size.Patches),
		count(r.Size.Readings, "reading", "readings"))}
	if r.First != nil {
		facts = append(facts, fmt.Sprintf("checkups from %s to %s", r.First, r.Last))
	}
	return strings.Join(append(facts, fmt.Sprintf("report made %s", r.Options.Made)), " · ")
}

// Headline writes a median in a line of its own.
func (m *Median) Headline() string {
	if math.IsInf(m.Months, 1) {
		return "not reached"
	}
	return months(m.Months) + " months"
}

// InWords writes limits in months for a line of text.
func (l Limits) InWords() string { return "likely " + monthLimits(l) }

// VisitDates tells of each coating what the visit-date mistake would say.
func (p *page) VisitDates() string {
	var sentences []string
	for _, row := range p.Life.Rows {
		if s := row.VisitDateSentence(); s != "" {
			sentences = append(sentences, s)
		}
	}
	return strings.Join(sentences, "; ")
}

// DecidedTable is what the rules did.
func (p *page) DecidedTable() Table { return decidedTable(p.Decided, p.Study.Protocol) }

// ReviewCount counts what needs looking at.
func (p *page) ReviewCount() string { return count(len(p.Reviews), "record", "records") }

// ReviewTable lists what needs looking at.
func (p *page) ReviewTable() Table {
	t := Table{Caption: "Records to look at", Head: []string{"Vehicle", "Patch", "Day", "What to do"}}
	for _, r := range p.Reviews {
		t.add(r.Vehicle, r.Patch, r.Day.String(), r.Advice())
	}
	return t
}

// ProtocolWords, MethodWords and Cautions are the page's plain words.
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
		{"Data", fmt.Sprintf("%d vehicles, %d patches, %d checkups, %d readings, %d care records",
			p.Size.Vehicles, p.Size.Patches, p.Size.Checkups, p.Size.Readings, p.Size.Care)},
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
		var names []string
		if slices.Contains(l.By, ByCoating) {
			names = append(names, row.Coating)
		}
		if slices.Contains(l.By, ByClimate) {
			names = append(names, row.Climate)
		}
		v.Rows = append(v.Rows, lifeViewRow{row, names})
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

// Followed writes for how long the row's patches were followed.
func (row lifeViewRow) Followed() string {
	return months(row.HalfFollowedMonths) + ", " + months(row.LongestMonths)
}
