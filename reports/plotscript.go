package reports

import (
	_ "embed"
)

//go:embed templates/plot.js
var plotScript string

//go:embed templates/plot.css
var plotStyle string

// PlotScript is the script of pages with plots: it shows the numbers of the
// place at which somebody points, by mouse, finger or arrow keys. A page has
// each Plot.Inline by itself in an element of a figure, with the plot's table in
// the same figure, and says in the figure's data-keys what the keys do. It needs
// PlotStyle, and the properties --ink, --paper, --muted, --petrol and --sans.
func PlotScript() string { return plotScript }

// PlotStyle is the style sheet of what PlotScript shows.
func PlotStyle() string { return plotStyle }
