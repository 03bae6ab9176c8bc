package web

import (
	"context"
	"net/http"

	"beadspan/reports"
)

func (s *Server) compareRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/compare", needs: reading, do: s.showComparison},
	}
}

// comparison is what coatings show beside each other, with its plots drawn. It
// names no vehicle.
type comparison struct {
	*reports.FleetComparison
	plots []drawnPlot
}

var comparisonFigure = figure[*comparison]{"comparison", func(ctx context.Context, in figureInput) (*comparison, error) {
	options := reports.DefaultComparisonOptions()
	options.Progress = in.progress
	compared, err := reports.NewFleetComparison(ctx, *in.fleet, in.study.Protocol, options)
	if err != nil {
		return nil, err
	}
	plots, err := drawn("compared", compared.Plots())
	return &comparison{compared, plots}, err
}}

// comparePage compares the coatings of a study, each with each other.
type comparePage struct {
	Comparison found[*comparison]
	// Effects are the plots of ratios and of months, Readings those of the pairs by
	// other readings of the records.
	Effects, Readings []drawnPlot
	// Courses are how each coating lasts and falls, once that is worked out.
	Courses []drawnPlot
	// First is the sentence that says what would change the conclusion, and Rest
	// what follows it.
	First string
	Rest  []string
}

func (s *Server) showComparison(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	var page comparePage
	var err error
	if page.Comparison, err = lookUp(v.records, comparisonFigure, s.today()); err != nil {
		return err
	}
	if page.Comparison.Ready {
		c := page.Comparison.Value
		page.Effects = append(plotsNamed(c.plots, reports.ComparedRatios), plotsNamed(c.plots, reports.ComparedMonths)...)
		page.Readings = plotsNamed(c.plots, reports.ComparedReadings)
		if words := c.WhatWouldChange(); len(words) > 0 {
			page.First, page.Rest = words[0], words[1:]
		}
	}
	courses, err := lookUp(v.records, evidenceFigure, s.today())
	if err != nil {
		return err
	}
	if courses.Ready {
		page.Courses = append(courses.Value.plotsNamed("survival"), courses.Value.plotsNamed("decay-")...)
	}
	return s.render(w, v, http.StatusOK, "compare.html", v.say.text("compare.title"), page)
}
