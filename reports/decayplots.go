package reports

import (
	"fmt"
	"math"

	"beadspan/study"
)

// The beginnings of the names of decay's plots; the coating follows.
const (
	decayPlotName   = "decay-"
	patchesPlotName = "patches-"
	livesPlotName   = "lives-"
)

// decayPlots are those of each coating in turn: its readings with the typical
// curve, a panel of patches, and the two lives.
func (r *Report) decayPlots() []Plot {
	low, high, last := r.decayAxes()
	var plots []Plot
	for _, d := range r.Decays {
		if len(d.Readings) == 0 {
			continue
		}
		look := r.lookOf(d.Coating)
		plots = append(plots, Plot{
			Name:  decayPlotName + fileName(d.Coating),
			Title: d.Finding() + ".",
			Description: fmt.Sprintf("%s after decontamination washes, on %s of %s, over months in service%s.",
				count(len(d.Readings), "contact angle", "contact angles"), patches(d.Patches), vehicles(d.Vehicles), curveWords(d)) + drawnWords(len(d.Readings)),
			Table:   decayTable(d),
			picture: decayPicture{d, look, last, low, high},
		})
		if p, ok := d.patchesPlot(look, low, high); ok {
			plots = append(plots, p)
		}
		if p, ok := d.livesPlot(look); ok {
			plots = append(plots, p)
		}
	}
	return plots
}

// decayAxes are the angles and months that hold the readings and marks of all
// coatings.
func (r *Report) decayAxes() (low, high, last float64) {
	low, high, last = 70.0, 120.0, 1.0
	show := func(angle float64) {
		low, high = math.Min(low, math.Floor(angle/10)*10), math.Max(high, math.Ceil(angle/10)*10)
	}
	for _, d := range r.Decays {
		for _, reading := range d.Readings {
			show(reading.AngleDeg)
			last = math.Max(last, axisEnd(reading.Days/study.DaysPerMonth))
		}
		for _, marked := range []*float64{d.ThresholdDeg, d.ControlDeg} {
			if marked != nil {
				show(*marked)
			}
		}
	}
	return low, high, last
}

func curveWords(d Decay) string {
	switch {
	case d.Population != nil:
		return fmt.Sprintf(", with the curve of the typical patch and its %s limits; in the pale band lie %s of single readings of all patches", confidence(d.Level), confidence(d.Level))
	case d.Curve != nil:
		return ", with the mean curve through them and its " + confidence(d.Level) + " limits"
	}
	return ""
}

// drawnWords says so where a plot doesn't draw all of n readings.
func drawnWords(n int) string {
	if n <= mostDots {
		return ""
	}
	return fmt.Sprintf(" %s of %s readings drawn, spread evenly over time; the curve rests on all.", number(mostDots), number(n))
}

// patchesPlot is the panel; ok is false where there is none.
func (d Decay) patchesPlot(look look, low, high float64) (plot Plot, ok bool) {
	if d.Population == nil || len(d.Population.Panel) == 0 {
		return Plot{}, false
	}
	p := d.Population
	return Plot{
		Name:  patchesPlotName + fileName(d.Coating),
		Title: d.PanelFinding() + ".",
		Description: fmt.Sprintf("%s of %s, from the first to reach %s to the last: of all with %d or more clean readings, put in that order and parted into %d equal parts, the middle one of each. "+
			"Dots are its own readings, the line with its %s limits is its own curve, which leans on the other patches the more the fewer dots there are and is thinner after the last of them; the grey line is the typical patch.",
			count(len(p.Panel), "patch", "patches"), d.Coating, d.endWords(), panelReadings, len(p.Panel), confidence(d.Level)),
		Table:   d.panelTable(),
		picture: panelPicture{d, look, axisEnd(p.last / study.DaysPerMonth), low, high},
	}, true
}

// endWords is what patches of the panel come to in turn.
func (d Decay) endWords() string {
	if d.ThresholdDeg == nil {
		return "the end of its fall"
	}
	return degrees(*d.ThresholdDeg)
}

// PanelFinding says in one sentence how the patches differ.
func (d Decay) PanelFinding() string {
	p := d.Population
	if p.Life == nil {
		return fmt.Sprintf("Patches of %s fall at paces of their own", d.Coating)
	}
	by := func(m float64) string {
		if math.IsInf(m, 1) {
			return fmt.Sprintf("not within %s months", months(p.last/study.DaysPerMonth))
		}
		return "by " + months(m) + " months"
	}
	return fmt.Sprintf("A tenth of %s’s patches fall to %s %s, nine tenths %s", d.Coating, degrees(*d.ThresholdDeg), by(p.Life.Tenth), by(p.Life.NineTenths))
}

func (d Decay) panelTable() Table {
	t := Table{
		Caption: d.Coating + ": the patches shown, by their own curves",
		Head:    []string{"Vehicle and patch", "Clean readings", "Last of them, months", "Angle then", "Falls to " + d.endWords() + " by, months"},
	}
	for _, c := range d.Population.Panel {
		last := c.lastReading()
		t.add(c.Vehicle+" "+c.Patch, number(len(c.Readings)), months(last.Days/study.DaysPerMonth), tenths(last.AngleDeg), d.crossingCell(c))
	}
	return t
}

// lastReading is the patch's last clean reading; the panel has none without.
func (c PatchCurve) lastReading() CleanReading {
	last := c.Readings[0]
	for _, r := range c.Readings {
		if r.Days >= last.Days {
			last = r
		}
	}
	return last
}

// crossingCell writes when a patch's own curve comes down.
func (d Decay) crossingCell(c PatchCurve) string {
	m, ok := c.monthsBy(d.Population.last / study.DaysPerMonth)
	switch {
	case c.Crossing == nil:
		return "–"
	case !ok:
		return "later than was read"
	}
	limits := limitsOf(c.Crossing.Lower/study.DaysPerMonth, c.Crossing.Upper/study.DaysPerMonth)
	if limits != nil && limits.High > d.Population.last/study.DaysPerMonth {
		limits.High = math.Inf(1) // beyond what was read
	}
	return months(m) + inBrackets(limits)
}
