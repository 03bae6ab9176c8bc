package reports

import (
	"fmt"
	"slices"

	"beadspan/study"
)

// letterPage is a letter in words, to be put on paper or on a web page.
type letterPage struct {
	Language  Language
	Title, Of string
	Facts     string // where the vehicle lives, and how it is kept
	Answers   []string

	PanelsHead string
	Panels     []panelWords
	More       string // what else there is; empty for nothing

	ChartHead    string
	Chart        *Plot // nil where nothing was measured
	ChartKeys    []string
	ChartCaption string
	ChartTable   string // what its numbers are called

	Sections []letterSection
	Estimate string
	Small    []string
	Origin   string
}

// panelWords is one panel in words.
type panelWords struct {
	Standing study.Standing
	Name     string
	Words    string // how it stands
	Details  []string
}

// letterSection is a heading with sentences below.
type letterSection struct {
	Heading string
	Lines   []string
}

// How much a letter tells of, so that it stays on its page. House rules.
const (
	mostLetterPanels = 6
	mostLetterCoats  = 3
	mostLetterDue    = 4
)

// page puts the letter into words.
func (l *Letter) page(in Language) (*letterPage, error) {
	v, err := newVoice(in)
	if err != nil {
		return nil, err
	}
	p := &letterPage{
		Language: in, Title: v.say("title", nil), Of: v.say("of", l), Facts: l.circumstances(v),
		PanelsHead: v.say("panels.head", nil), Estimate: v.say("estimate", nil),
		Small:  []string{v.say("small.promise", nil), v.say("small.bead", nil), v.say("small.care", nil)},
		Origin: v.say("origin", facts{"Study": l.Study, "Level": fmt.Sprintf("%.4g", 100*l.Level), "Version": l.Version}),
	}
	var told []string // climates
	for _, c := range l.Coats[:min(mostLetterCoats, len(l.Coats))] {
		p.Answers = append(p.Answers, c.answer(v, c.Class != "" && slices.Contains(told, c.Class)))
		told = append(told, c.Class)
	}
	l.addPanels(p, v)
	l.addChart(p, v)
	p.Sections = []letterSection{l.next(v), l.seen(v), l.shortens(v), l.notMeasured(v)}
	return p, v.err
}

// circumstances are where the vehicle lives and how it is kept.
func (l *Letter) circumstances(v *voice) string {
	words := ""
	if l.Garage != study.GarageUnknown {
		words = v.say("garage."+string(l.Garage), nil)
	}
	if l.Class != "" {
		if words != "" {
			words += " · "
		}
		words += v.climate(l.Class)
	}
	return words
}

func (l *Letter) addPanels(p *letterPage, v *voice) {
	shown := len(l.Panels)
	if shown > mostLetterPanels {
		shown = mostLetterPanels - 1
	}
	for _, panel := range l.Panels[:shown] {
		p.Panels = append(p.Panels, panel.words(v))
	}
	rest := l.Panels[shown:]
	if len(rest) == 0 {
		return
	}
	n := map[study.Standing]int{}
	for _, panel := range rest {
		n[panel.Standing]++
	}
	var parts []string
	for _, s := range study.Standings() {
		if n[s] > 0 {
			parts = append(parts, v.say("more.part", facts{"N": n[s], "Standing": v.say("standing."+string(s), nil)}))
		}
	}
	p.More = v.say("more", facts{"N": len(rest), "Words": v.list(parts)})
}

func (p LetterPanel) words(v *voice) panelWords {
	w := panelWords{Standing: p.Standing, Name: p.Panel, Words: v.say("standing."+string(p.Standing), nil)}
	if p.Ended == study.Topper {
		w.Words += ", " + v.say("topped", nil)
	}
	applied := v.say("panel.coat", p)
	if p.Substrate != "" {
		applied += ", " + v.say("substrate."+string(p.Substrate), nil)
	}
	if p.Layers != nil {
		applied += ", " + v.say("layers", *p.Layers)
	}
	w.Details = []string{applied}
	switch {
	case p.CleanDeg != nil:
		w.Details = append(w.Details, v.say("panel.clean", facts{"Angle": v.degrees(*p.CleanDeg), "On": *p.CleanOn}))
	case p.Standing == study.Unread && p.LastRead != nil:
		w.Details = append(w.Details, v.say("panel.seen", facts{"On": *p.LastRead}))
	case p.LastRead != nil:
		w.Details = append(w.Details, v.say("panel.dirty", facts{"On": *p.LastRead}))
	}
	return w
}

// charted is the coating whose readings are drawn: the one of which most was
// read, of those that may hold if there are any; nil where nothing was read.
func (l *Letter) charted() *LetterCoat {
	var most *LetterCoat
	for i := range l.Coats {
		c := &l.Coats[i]
		switch {
		case c.Chart == nil:
		case most == nil, c.lives() && !most.lives(), c.lives() == most.lives() && c.Chart.readings() > most.Chart.readings():
			most = c
		}
	}
	return most
}

func (c *LetterCoat) lives() bool { return c.Holding+c.Doubtful > 0 }

// addChart draws how the angles of one coating went.
func (l *Letter) addChart(p *letterPage, v *voice) {
	most := l.charted()
	if most == nil {
		p.ChartCaption = v.say("chart.none", nil)
		return
	}
	chart := most.Chart
	p.ChartHead = v.say("chart.head", most.Coating)
	p.ChartCaption = v.say("chart.caption", nil)
	p.ChartTable = v.say("chart.table", nil)
	if chart.Population != nil {
		p.ChartCaption += " " + v.say("chart.band", fmt.Sprintf("%.0f", 100*l.Level))
	} else {
		p.ChartCaption += " " + v.say("chart.noband", nil)
	}
	picture := letterPicture{chart: chart, across: v.say("chart.across", nil)}
	if chart.ThresholdDeg != nil {
		picture.threshold = v.say("chart.threshold", v.degrees(*chart.ThresholdDeg))
	}
	table := Table{Caption: p.ChartHead, Head: []string{v.say("chart.panel", nil), v.say("chart.month", nil), v.say("chart.angle", nil)}}
	for _, line := range chart.Lines {
		p.ChartKeys = append(p.ChartKeys, line.Panel)
		for _, r := range line.Readings {
			table.add(line.Panel, v.decimal(r.Months), v.degrees(r.AngleDeg))
		}
	}
	p.Chart = &Plot{Name: "letter-chart", Title: p.ChartHead, Description: p.ChartCaption, Table: table, picture: picture}
}

func (c *LetterChart) readings() int {
	n := 0
	for _, line := range c.Lines {
		n += len(line.Readings)
	}
	return n
}
