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
		picture.spots = append(picture.spots, addCurve(&table, row, tableStep(longestCurve(r.Life.Rows)), len(picture.lines))...)
		picture.lines = append(picture.lines, namedCurve{row.Coating, row.Curve, r.lookOf(row.Coating)})
		picture.lastMonth = math.Max(picture.lastMonth, axisEnd(row.Curve.EndMonths))
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

// tableStep is how far apart, in months, the rows of a plot's table lie that
// tells of so many: one for three years, and steps in which years can be found.
func tableStep(last float64) float64 {
	switch {
	case last <= 36:
		return 1
	case last <= 120:
		return 3
	}
	return 12
}

// longestCurve is the month with which the longest curve of the rows ends: all of
// a plot are read at the same months.
func longestCurve(rows []LifeRow) float64 {
	longest := 0.0
	for _, row := range rows {
		if row.Curve != nil {
			longest = math.Max(longest, row.Curve.EndMonths)
		}
	}
	return longest
}

// addCurve adds rows for a curve, so many months apart, and returns where they
// are drawn: on the line of that number.
func addCurve(t *Table, row LifeRow, months float64, line int) []valueSpot {
	var spots []valueSpot
	for _, p := range row.Curve.Points {
		if math.Mod(p.Months, months) != 0 {
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
		spots = append(spots, valueSpot{len(t.Rows), line, p.Months, row.Curve.drawnShare(p.Months)})
		t.add(fmt.Sprintf("%s, %g", row.Group, p.Months), bare(share), bare(limits), fmt.Sprint(row.Curve.followed(p.Months)))
	}
	return spots
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
			var spots []valueSpot
			if row.Curve != nil {
				rows = append(rows, row)
				picture.lastMonth = math.Max(picture.lastMonth, axisEnd(row.Curve.EndMonths))
				spots = addCurve(&table, row, tableStep(overall.Curve.EndMonths), 0)
			}
			picture.spots = append(picture.spots, spots)
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
