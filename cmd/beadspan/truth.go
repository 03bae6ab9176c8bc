package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/reports"
	"beadspan/testdata"
)

// writeTruth holds each cell's estimate against the truth that the demo fleet
// was simulated from, which a real study never has.
func writeTruth(out io.Writer, cells *reports.Life) error {
	truth, err := demoTruth()
	if err != nil {
		return err
	}
	t := reports.NewTextTable()
	t.AppendHeader(table.Row{"Coating", "Climate", "Truth", "Half spent by", "Limits hold the truth"})
	t.SetColumnConfigs([]table.ColumnConfig{{Number: 3, Align: text.AlignRight}})
	covered, estimated := 0, 0
	for _, row := range cells.Rows {
		median := truth[row.Group]
		verdict := "no estimate"
		if row.Median != nil && row.Median.Limits != nil {
			estimated++
			verdict = "no"
			if limits := *row.Median.Limits; limits.Low <= median && median <= limits.High {
				covered++
				verdict = "yes"
			}
		}
		t.AppendRow(table.Row{row.Coating, row.Climate, months(median), row.Median.String(), verdict})
	}
	_, err = fmt.Fprintf(out, `
The fleet is invented, so the truth is known. Median life in months:

%s

%d of %d limits hold the truth; of 95 %% limits about one in twenty misses.
`, t.Render(), covered, estimated)
	return err
}

func months(x float64) string {
	if math.IsInf(x, 1) {
		return "not reached"
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
}

// demoTruth reads the true median lives in months.
func demoTruth() (map[reports.Group]float64, error) {
	file, err := testdata.Demo().Open("truth.csv")
	if err != nil {
		return nil, fmt.Errorf("read the demo's truth: %w", err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil || len(records) == 0 {
		return nil, fmt.Errorf("read the demo's truth: %w", err)
	}
	column := make(map[string]int)
	for i, name := range records[0] {
		column[name] = i
	}
	truth := make(map[reports.Group]float64)
	for _, r := range records[1:] {
		median, err := strconv.ParseFloat(r[column["median_life_months"]], 64)
		if err != nil {
			return nil, fmt.Errorf("read the demo's truth: %w", err)
		}
		truth[reports.Group{Coating: r[column["coating"]], Climate: r[column["climate"]]}] = median
	}
	return truth, nil
}
