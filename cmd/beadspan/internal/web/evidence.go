package web

import (
	"context"
	"fmt"
	"html/template"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

// evidence is what all records of a study show, with its plots drawn.
type evidence struct {
	*reports.Report
	Pairs *reports.Pairs

	plots    []drawnPlot
	coatings map[string]study.Coating // by code
}

// drawnPlot is a plot as pages show it, drawn once for a desk, where two stand
// side by side, and once for a phone.
type drawnPlot struct {
	reports.Plot
	Wide, Narrow template.HTML
}

// The widths at which plots are drawn, in CSS pixels.
const (
	deskPlot  = 560
	phonePlot = 358
)

// evidenceFigure works the evidence out. It is by far the longest work of all
// figures, so that the pages which show a part of it share it.
var evidenceFigure = figure[*evidence]{"evidence", func(ctx context.Context, in figureInput) (*evidence, error) {
	options := reports.DefaultOptions(in.today, "")
	options.Progress = in.progress
	report, err := reports.New(ctx, in.study, *in.fleet, options)
	if err != nil {
		return nil, err
	}
	e := &evidence{Report: report, coatings: map[string]study.Coating{}}
	for _, c := range in.fleet.Coatings {
		e.coatings[c.Code] = c
	}
	if e.Pairs, err = reports.NewPairs(ctx, in.fleet.Follow(in.study.Protocol), options.Level, options.Seed); err != nil {
		return nil, err
	}
	if e.plots, err = drawn("plot", report.Plots()); err != nil {
		return nil, err
	}
	return e, nil
}}

// drawn draws plots; prefix begins their ids on the page, and those of no other's.
func drawn(prefix string, plots []reports.Plot) (list []drawnPlot, err error) {
	for i, plot := range plots {
		one := drawnPlot{Plot: plot}
		if one.Wide, err = plot.Inline(fmt.Sprintf("%s-%d-wide", prefix, i), deskPlot); err != nil {
			return nil, err
		}
		if one.Narrow, err = plot.Inline(fmt.Sprintf("%s-%d-narrow", prefix, i), phonePlot); err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, nil
}

// plotsNamed lists the plots whose names begin so.
func (e *evidence) plotsNamed(prefix string) []drawnPlot { return plotsNamed(e.plots, prefix) }

func plotsNamed(plots []drawnPlot, prefix string) []drawnPlot {
	var list []drawnPlot
	for _, p := range plots {
		if strings.HasPrefix(p.Name, prefix) {
			list = append(list, p)
		}
	}
	return list
}
