package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

type claimCommand struct {
	studyFlag
	Coating    []string `arg:"" optional:"" help:"Codes of coatings. All of which something is claimed, if none is named."`
	Replicates int      `default:"500" help:"Bootstrap replicates behind the limits, over vehicles."`
	Seed       uint64   `default:"1" help:"Seed of the bootstrap: the same seed gives the same limits."`
	JSON       bool     `name:"json" xor:"form" help:"Print JSON at full precision."`
	CSV        bool     `name:"csv" xor:"form" help:"Print CSV at full precision, a line for each end of a claim."`
}

// Help explains the command with an example.
func (claimCommand) Help() string {
	return `Holds each maker's claim, "lasts 12 to 24 months", against what the study has seen, by
the rule of its protocol: how many patches must outlast either end, and how sure one
must be. A claim is supported, contradicted, or nobody can tell yet; then it says how
much more follow-up would probably decide. The claims are those of coatings.csv.

Example:
  beadspan claim --demo
  beadspan claim BIRCH --json`
}

// Run prints the verdicts.
func (c claimCommand) Run(ctx context.Context, a *app) error {
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	coatings, err := c.named(fleet.Coatings)
	if err != nil {
		return err
	}
	bar := a.progress("judging")
	claims, err := reports.NewClaims(ctx, coatings, fleet.Follow(st.Protocol), reports.ClaimOptions{
		Rule: st.Protocol.Claim, BootstrapReplicates: c.Replicates, Seed: c.Seed, Progress: bar.count,
	})
	bar.done()
	if err != nil {
		return asked("claim", err)
	}
	switch {
	case c.JSON:
		return claims.WriteJSON(a.out)
	case c.CSV:
		return claims.WriteCSV(a.out)
	}
	return claims.WriteText(a.out)
}

// named picks the coatings that are named; all of them if none is.
func (c claimCommand) named(all []study.Coating) ([]study.Coating, error) {
	if len(c.Coating) == 0 {
		return all, nil
	}
	var coatings []study.Coating
	for _, code := range c.Coating {
		i := slices.IndexFunc(all, func(coating study.Coating) bool { return coating.Code == code })
		switch {
		case i < 0:
			return nil, fmt.Errorf("no coating %s in the study; it has %s", code, codesOf(all))
		case all[i].Control || !all[i].Claimed():
			return nil, fmt.Errorf("nothing is claimed of %s: give claim_low_months and claim_high_months in coatings.csv and load it again", code)
		}
		coatings = append(coatings, all[i])
	}
	return coatings, nil
}

func codesOf(coatings []study.Coating) string {
	if len(coatings) == 0 {
		return "none"
	}
	codes := make([]string, len(coatings))
	for i, c := range coatings {
		codes[i] = c.Code
	}
	return strings.Join(codes, ", ")
}
