package reports

import (
	"fmt"
	"math"
	"strings"
)

// Plots returns the pictures of the report: survival by coating, life by
// climate, survival by climate for each coating, and how each coating's contact
// angle falls. A picture for which too little is known is left out.
func (r *Report) Plots() []Plot {
	var plots []Plot
	if p, ok := r.survivalPlot(); ok {
		plots = append(plots, p)
	}
	if p, ok := r.climateLifePlot(); ok {
		plots = append(plots, p)
	}
	plots = append(plots, r.climatePlots()...)
	return append(plots, r.decayPlots()...)
}

// lookOf gives a coating the same look in every plot.
func (r *Report) lookOf(coating string) look {
	for i, row := range r.Life.Rows {
		if row.Coating == coating {
			return lookOf(i)
		}
	}
	return lookOf(len(r.Life.Rows))
}

func (r *Report) survivalPlot() (plot Plot, ok bool) {
	picture := survivalPicture{}
	table := Table{
		Caption: "Share of patches still hydrophobic",
		Head:    []string{"Coating and months", "Share, %", confidence(r.Options.Level) + " limits", "Patches still followed"},
	}
	for _, row := range r.Life.Rows {
		if row.Curve == nil {
			continue
		}
		picture.lines = append(picture.lines, namedCurve{row.Coating, row.Curve, r.lookOf(row.Coating)})
		picture.lastMonth = math.Max(picture.lastMonth, axisEnd(row.Curve.EndMonths))
		addCurve(&table, row)
	}
	if len(picture.lines) == 0 {
		return Plot{}, false
	}
	return Plot{
		Name:  "survival",
		Title: findingOfAll("the patches", "for", r.Life.Rows, func(row LifeRow) string { return row.Coating }) + ".",
		Description: "A falling line for each coating: the share of its patches that are still hydrophobic, by months in service, " +
			"with a pale band for its " + confidence(r.Options.Level) + " limits. Within a box the course of the line is unknown: patches were seen holding before it and spent after it.",
		Table:   table,
		picture: picture,
	}, true
}

// tableMonths is how far apart the rows of a plot's table lie.
const tableMonths = 3

func addCurve(t *Table, row LifeRow) {
	for _, p := range row.Curve.Points {
		if math.Mod(p.Months, tableMonths) != 0 {
			continue
		}
		share := percent(p.AtMost)
		if percent(p.AtLeast) != share {
			share = fmt.Sprintf("%.0f to %s", 100*p.AtLeast, share)
		}
		limits := "–"
		if p.Limits != nil {
			limits = percentLimits(*p.Limits)
		}
		t.add(fmt.Sprintf("%s, %g", row.Group, p.Months), bare(share), bare(limits), fmt.Sprint(row.Curve.followed(p.Months)))
	}
}

// bare leaves out a unit that the heading names.
func bare(shares string) string { return strings.ReplaceAll(shares, " %", "") }

func (r *Report) climatePlots() []Plot {
	var plots []Plot
	for _, overall := range r.Life.Rows {
		if overall.Curve == nil {
			continue
		}
		picture := climatePicture{overall: overall.Curve, look: r.lookOf(overall.Coating), lastMonth: axisEnd(overall.Curve.EndMonths)}
		table := Table{
			Caption: "Share of " + overall.Coating + "’s patches still hydrophobic, by climate",
			Head:    []string{"Coating, climate and months", "Share, %", confidence(r.Options.Level) + " limits", "Patches still followed"},
		}
		var rows []LifeRow
		for _, row := range r.ByClimate.Rows {
			if row.Coating != overall.Coating {
				continue
			}
			picture.climates = append(picture.climates, namedCurve{climateLabel(row), row.Curve, picture.look})
			if row.Curve != nil {
				rows = append(rows, row)
				picture.lastMonth = math.Max(picture.lastMonth, axisEnd(row.Curve.EndMonths))
				addCurve(&table, row)
			}
		}
		if len(rows) == 0 {
			continue
		}
		plots = append(plots, Plot{
			Name:  "climate-" + fileName(overall.Coating),
			Title: findingOfAll(overall.Coating+"’s patches", "in", rows, func(row LifeRow) string { return row.Climate }) + ".",
			Description: "A small plot for each climate: the share of " + overall.Coating + "’s patches that are still hydrophobic, with its limits; " +
				"the thin grey line is the coating in all climates together.",
			Table:   table,
			picture: picture,
		})
	}
	return plots
}

func climateLabel(row LifeRow) string {
	return fmt.Sprintf("%s: %s of %s spent", row.Climate, number(row.Spent), patches(row.Patches))
}

// fileName makes a code fit for a file name: it may hold a slash.
func fileName(code string) string { return strings.ReplaceAll(code, "/", "--") }
