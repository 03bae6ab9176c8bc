package main

import (
	"context"

	"beadspan/reports"
	"beadspan/study"
)

// estimateFlags say how estimates are made.
type estimateFlags struct {
	Level      float64 `default:"0.95" help:"Confidence level of the limits."`
	Replicates int     `default:"500" help:"Bootstrap replicates behind the limits, over vehicles."`
	Seed       uint64  `default:"1" help:"Seed of the bootstrap: the same seed gives the same limits."`
}

type lifeCommand struct {
	studyFlag
	estimateFlags
	By   []string `default:"coating" help:"What to split by: coating, climate, or coating,climate."`
	JSON bool     `name:"json" xor:"form" help:"Print JSON at full precision."`
	CSV  bool     `name:"csv" xor:"form" help:"Print CSV at full precision."`
}

// Help explains the command with an example.
func (lifeCommand) Help() string {
	return `Prints a row for each group: vehicles, patches, how many are spent, the median life
with its limits, the share still hydrophobic after 12 and 24 months, and how long
they have been followed. Lives end between two checkups, so the estimate is Turnbull's.
A figure that the data do not support is left out, and a note says why.

Example:
  beadspan life --by coating,climate
  beadspan life --demo --json`
}

// Run prints the table of life.
func (c lifeCommand) Run(ctx context.Context, a *app) error {
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	bar := a.progress("estimating")
	options := reports.LifeOptions{Level: c.Level, BootstrapReplicates: c.Replicates, Seed: c.Seed, Progress: bar.count}
	for _, by := range c.By {
		options.By = append(options.By, reports.By(by))
	}
	life, err := reports.NewLife(ctx, fleet.Follow(st.Protocol), options)
	bar.done()
	if err != nil {
		return asked("life", err)
	}
	switch {
	case c.JSON:
		return life.WriteJSON(a.out)
	case c.CSV:
		return life.WriteCSV(a.out)
	}
	return life.WriteText(a.out)
}

// openFleet reads everything that the store has of a study.
func (a *app) openFleet(ctx context.Context, f studyFlag) (study.Study, study.Fleet, error) {
	s, err := a.openStore(ctx)
	if err != nil {
		return study.Study{}, study.Fleet{}, err
	}
	defer s.Close()
	st, err := f.study(ctx, s)
	if err != nil {
		return study.Study{}, study.Fleet{}, err
	}
	fleet, err := s.Fleet(ctx, st.ID)
	return st, fleet, err
}
