// Package reports turns what a study knows into what people read: the table of
// life, plots, and the one-page report.
//
// Everything here is a function of study values. [New] derives each patch's
// span, hands the spans to stats/survival and the clean angles to stats/decay,
// and keeps the answers in words and numbers; the writers ([Life.WriteText],
// [Life.WriteJSON], [Life.WriteCSV], [Report.WriteHTML], [Plot.WriteSVG],
// [Plot.WritePNG]) put them on paper. The package opens no files, knows no
// database and estimates nothing by itself.
//
// It says no more than is known. A number that the data do not support is
// missing (a nil pointer, null, an empty cell) and a note beside it says why;
// "not reached" is an answer of its own, never a number.
package reports
