package reports

import (
	"fmt"
	"math"
	"slices"
)

// The names that the plots of a comparison begin with.
const (
	ComparedRatios   = "compare-ratios"
	ComparedMonths   = "compare-months"
	ComparedReadings = "compare-readings"
)

// mostForest is how many pairs a picture shows. Of more it shows those with the
// coating that lasts longest.
const mostForest = 15

// Plots draws the comparison: the ratios, the months, and the ratios of each
// pair by every reading of the records. What was not estimated is left out.
func (c *FleetComparison) Plots() []Plot {
	var plots []Plot
	if c.ratios() > 0 {
		plots = append(plots, c.ratioPlot())
	}
	if slices.ContainsFunc(c.Pairs, func(p CoatingPair) bool { return p.Lead != nil }) {
		plots = append(plots, c.leadPlot())
	}
	for i, pair := range c.told() {
		if c.Pairs[pair].Ratio != nil {
			plots = append(plots, c.readingPlot(i, pair))
		}
	}
	return plots
}

// drawn are the pairs in the pictures, and what is said of others.
func (c *FleetComparison) drawn() (pairs []int, others string) {
	for i := range c.Pairs {
		pairs = append(pairs, i)
	}
	if len(pairs) <= mostForest {
		return pairs, ""
	}
	first := c.Coatings[0].Code
	pairs = slices.DeleteFunc(pairs, func(i int) bool { return c.Pairs[i].A != first })
	pairs = pairs[:min(len(pairs), mostForest)]
	return pairs, fmt.Sprintf(" Of %d pairs it shows those with %s, the coating that lasts longest.", len(c.Pairs), first)
}

// rowsOf keeps the rows of some pairs.
func rowsOf(t Table, pairs []int) Table {
	kept := Table{Caption: t.Caption, Head: t.Head}
	for _, i := range pairs {
		kept.Rows = append(kept.Rows, t.Rows[i])
	}
	return kept
}

func (c *FleetComparison) ratioPlot() Plot {
	pairs, others := c.drawn()
	picture := forestPicture{asRatio: true, axis: "how many times as long the first lasts"}
	for _, i := range pairs {
		picture.lines = append(picture.lines, ratioLine(c.Pairs[i].String(), c.Pairs[i].Ratio, plainLine))
	}
	return Plot{
		Name: ComparedRatios, Title: c.shownSentence(),
		Description: "A line for each pair of coatings: a mark for how many times as long the first lasts as the second, between its " +
			confidence(c.Level) + " limits. At 1, the strong line, both last equally long." + others,
		Table: rowsOf(c.Table(), pairs), picture: picture,
	}
}

// shownSentence counts the pairs that are shown to differ.
func (c *FleetComparison) shownSentence() string {
	shown := 0
	for _, p := range c.Pairs {
		shown += one(p.Ratio.Shown(c.Level))
	}
	switch {
	case len(c.Pairs) == 1 && shown == 1:
		return c.Pairs[0].words() + "."
	case len(c.Pairs) == 1:
		return c.Pairs[0].String() + " are not shown to differ in how long they last."
	case shown == 0:
		return fmt.Sprintf("None of %d pairs of coatings is shown to differ in how long they last.", len(c.Pairs))
	}
	return fmt.Sprintf("%d of %d pairs of coatings are shown to differ in how long they last.", shown, len(c.Pairs))
}

func (c *FleetComparison) leadPlot() Plot {
	pairs, others := c.drawn()
	picture := forestPicture{axis: "months by which the first lasts longer"}
	for _, i := range pairs {
		p := c.Pairs[i]
		line := forestLine{label: p.String(), value: math.NaN(), said: "not estimable"}
		if l := p.Lead; l != nil {
			line.label += fmt.Sprintf(", up to %g months", l.HorizonMonths)
			line.value, line.limits, line.said = l.Months, l.Limits, l.String()
		}
		picture.lines = append(picture.lines, line)
	}
	return Plot{
		Name: ComparedMonths, Title: c.leadSentence(),
		Description: "A line for each pair of coatings: a mark for by how many months the first lasts longer on average, of lives counted up to the time named, between its " +
			confidence(c.Level) + " limits. At 0, the strong line, both last equally long." + others,
		Table: rowsOf(c.Table(), pairs), picture: picture,
	}
}

// leadSentence tells the largest lead whose limits leave no doubt.
func (c *FleetComparison) leadSentence() string {
	var most *CoatingPair
	for i := range c.Pairs {
		p := &c.Pairs[i]
		if p.Lead != nil && p.Lead.Limits.Low > 0 && (most == nil || p.Lead.Months > most.Lead.Months) {
			most = p
		}
	}
	if most == nil {
		return "No coating is shown to last months longer than another within the time followed."
	}
	return fmt.Sprintf("Within %g months, %s lasts %s months longer than %s on average (%s to %s).", most.Lead.HorizonMonths, most.A,
		signed(most.Lead.Months), most.B, signed(most.Lead.Limits.Low), signed(most.Lead.Limits.High))
}

func ratioLine(label string, r *RatioOfLives, kind forestKind) forestLine {
	line := forestLine{label: label, value: math.NaN(), said: "not estimable", kind: kind}
	if r != nil {
		line.value, line.limits, line.said = r.Ratio, r.Limits, r.String()
	}
	return line
}

// readingPlot is the picture of one pair; i is its place among those told.
func (c *FleetComparison) readingPlot(i, pair int) Plot {
	p := c.Pairs[pair]
	picture := forestPicture{asRatio: true, axis: p.A + ": times as long as " + p.B}
	for n, r := range c.Readings {
		kind := plainLine
		switch {
		case n == 0:
			kind = ownLine
		case r.Mistake:
			kind = mistakeLine
		}
		picture.lines = append(picture.lines, ratioLine(r.name(), r.Ratios[pair].Ratio, kind))
	}
	return Plot{
		Name: fmt.Sprintf("%s-%s-%s", ComparedReadings, fileName(p.A), fileName(p.B)), Title: c.readingTitle(pair),
		Description: "A line for each reading of the records, the study’s own first: a mark for how many times as long " + p.A + " lasts as " + p.B +
			", between its " + confidence(c.Level) + " limits. A hollow mark is a mistake, shown for how far it leads astray.",
		Table: c.ReadingTables()[i], picture: picture,
	}
}

// readingTitle tells whether other readings agree.
func (c *FleetComparison) readingTitle(pair int) string {
	n, altered, silent := 0, 0, 0
	for _, r := range c.Readings[1:] {
		if !r.Mistake {
			n++
			altered += one(r.Ratios[pair].Change.alters())
			silent += one(r.Ratios[pair].Change == NoLongerKnown)
		}
	}
	rest := ""
	if silent > 0 {
		rest = fmt.Sprintf("; %s nothing", count(silent, "says", "say"))
	}
	return fmt.Sprintf("%s: of %d other readings of the records, %d say the same%s.", c.Pairs[pair], n, n-altered-silent, rest)
}
