package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

type decayCommand struct {
	studyFlag
	estimateFlags
	Coating string `placeholder:"CODE" xor:"of" help:"Tell of one coating."`
	Vehicle string `placeholder:"CODE" xor:"of" help:"Say instead what to expect of each patch of a vehicle in the next twelve months."`
	On      string `placeholder:"DATE" help:"The day that counts as today, as 2026-04-30; records of later days are not looked at."`
	JSON    bool   `name:"json" help:"Print JSON at full precision, with the numbers behind the report's plots."`
}

// Help explains the command with an example.
func (decayCommand) Help() string {
	return `Prints how the contact angle of clean panels falls with time in service, for each
coating: the floor it falls to, where it starts, the time τ in which the distance to the
floor shrinks to 37 %, and when it comes down to the study's threshold; by one curve
through all readings, and for the typical patch where the patches can be told apart, whose
fall is exponential, or stretched in time by a power where that is clearly better. Then how
long patches last by their curves beside what checkups show, and how far the two agree.

With --vehicle it prints, for each patch of that vehicle, month by month, what angle to
expect, and how likely it is to be below the threshold by then.

Example:
  beadspan decay --coating C-12
  beadspan decay --demo --json
  beadspan decay --demo --vehicle R010 --on 2026-01-15`
}

// Run prints decays, or the outlook of a vehicle.
func (c decayCommand) Run(ctx context.Context, a *app) error {
	today, err := dayAsked("decay", c.On)
	if err != nil {
		return err
	}
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	followed := fleet.Until(today).Follow(st.Protocol)
	options := reports.DecayOptions{Protocol: st.Protocol, Level: c.Level, Seed: c.Seed}
	if c.Vehicle != "" {
		return c.outlook(ctx, a, followed, today, options)
	}
	if followed, err = ofCoating(followed, c.Coating); err != nil {
		return err
	}
	decays, err := c.decays(ctx, a, followed, options)
	if err != nil {
		return asked("decay", err)
	}
	if c.JSON {
		return decays.WriteJSON(a.out)
	}
	return decays.WriteText(a.out)
}

// decays works out the table of life, and the decays beside it.
func (c decayCommand) decays(ctx context.Context, a *app, followed []study.Followed, options reports.DecayOptions) (reports.Decays, error) {
	bar := a.progress("estimating")
	defer bar.done()
	life, err := reports.NewLife(ctx, followed, reports.LifeOptions{
		By: []reports.By{reports.ByCoating}, Level: c.Level, BootstrapReplicates: c.Replicates, Seed: c.Seed, Progress: bar.count,
	})
	if err != nil {
		return nil, err
	}
	return reports.NewDecays(ctx, followed, life, options)
}

func (c decayCommand) outlook(ctx context.Context, a *app, followed []study.Followed, today study.Day, options reports.DecayOptions) error {
	outlook, err := reports.NewVehicleOutlook(ctx, followed, c.Vehicle, today, options)
	switch {
	case errors.Is(err, study.ErrNotFound):
		return usageError(fmt.Sprintf("decay: the study has no vehicle %q on %s: look for its code in vehicles.csv of the log", c.Vehicle, today))
	case err != nil:
		return asked("decay", err)
	case c.JSON:
		return outlook.WriteJSON(a.out)
	}
	return outlook.WriteText(a.out)
}

// ofCoating keeps the patches of one coating, and the uncoated controls; all if
// code is empty.
func ofCoating(followed []study.Followed, code string) ([]study.Followed, error) {
	if code == "" {
		return followed, nil
	}
	var kept []study.Followed
	var codes []string
	for _, f := range followed {
		if !f.Coating.Control && !slices.Contains(codes, f.Coating.Code) {
			codes = append(codes, f.Coating.Code)
		}
		if f.Coating.Control || f.Coating.Code == code {
			kept = append(kept, f)
		}
	}
	if !slices.Contains(codes, code) {
		slices.Sort(codes)
		return nil, usageError(fmt.Sprintf("decay: no patch of the study has the coating %q: name one of %s", code, strings.Join(codes, ", ")))
	}
	return kept, nil
}
