package main

import (
	"context"
	"fmt"

	"beadspan/reports"
	"beadspan/study"
)

type compareCommand struct {
	studyFlag
	Coatings      []string `arg:"" optional:"" name:"coating" help:"Codes of the coatings to compare; all if none is named."`
	Level         float64  `default:"0.95" help:"Confidence level of the limits."`
	Replicates    int      `default:"200" help:"Bootstrap replicates behind the limits of months, over vehicles."`
	Seed          uint64   `default:"1" help:"Seed of the bootstrap: the same seed gives the same limits."`
	HorizonMonths float64  `placeholder:"MONTHS" help:"Count lives up to this time for the difference in months; as long as both are followed well if not said."`
	Out           string   `placeholder:"DIR" type:"path" help:"Also write the plots, as .svg and .png, to this folder; made when missing."`
	JSON          bool     `name:"json" xor:"form" help:"Print JSON at full precision, with every reading of the records."`
	CSV           bool     `name:"csv" xor:"form" help:"Print CSV at full precision, a row for each pair."`
}

// Help explains the command with an example.
func (compareCommand) Help() string {
	return `Compares coatings, each with each other: how many times as long the one lasts as the
other, in the same climate and on panels that face the same way; and by how many months
more, counted up to a time for which both were followed. Vehicles are taken as clusters, and
those that carry both coatings as matched. Then the same by other readings of the records
(other threshold, toppers, confirmation, distribution), and which of them would change
what is said. What can't be told is left out, and a note says why.

Example:
  beadspan compare
  beadspan compare C-12 K-20 --horizon-months 12
  beadspan compare --demo --out plots --json`
}

// Run prints the comparison, and writes its plots.
func (c compareCommand) Run(ctx context.Context, a *app) error {
	if c.HorizonMonths < 0 {
		return usageError("compare: --horizon-months must be above 0")
	}
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	compared, err := c.compare(ctx, a, st, fleet)
	if err != nil {
		return asked("compare", err)
	}
	if c.Out != "" {
		if err := writeFiles(ctx, c.Out, plotWriters(compared.Plots())); err != nil {
			return fmt.Errorf("write plots: %w", err)
		}
	}
	switch {
	case c.JSON:
		return compared.WriteJSON(a.out)
	case c.CSV:
		return compared.WriteCSV(a.out)
	}
	return compared.WriteText(a.out)
}

func (c compareCommand) compare(ctx context.Context, a *app, st study.Study, fleet study.Fleet) (*reports.FleetComparison, error) {
	bar := a.progress("comparing")
	defer bar.done()
	return reports.NewFleetComparison(ctx, fleet, st.Protocol, reports.ComparisonOptions{
		Coatings: c.Coatings, Level: c.Level, BootstrapReplicates: c.Replicates, Seed: c.Seed,
		HorizonMonths: c.HorizonMonths, Progress: bar.count,
	})
}
