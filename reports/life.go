package reports

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"beadspan/study"
)

// Life is the table of how long coatings last, a row for each group.
type Life struct {
	By         []By
	Level      float64 // confidence level of all limits
	Replicates int     // of the bootstrap behind the limits
	Seed       uint64
	Rows       []LifeRow
	// Comparisons test whether the groups differ by more than chance.
	Comparisons []Comparison
	// Notes hold for the whole table.
	Notes []string
}

// LifeOptions says how a table of life is made. Level, BootstrapReplicates and
// Seed count as they are; DefaultLifeOptions has sensible ones.
type LifeOptions struct {
	By                  []By
	Level               float64 // confidence level, between 0 and 1
	BootstrapReplicates int     // 39 or more at a level of 0.95
	Seed                uint64  // the same seed gives the same limits
	// Progress, if not nil, is told how much of the work is done: bootstrap
	// replicates of all groups, one call at a time. A group that needs no
	// bootstrap counts as if it had had one.
	Progress func(done, total int)
}

// DefaultLifeOptions asks for 95 % limits from 500 bootstrap replicates.
func DefaultLifeOptions(by ...By) LifeOptions {
	return LifeOptions{By: by, Level: 0.95, BootstrapReplicates: 500, Seed: 1}
}

// ErrOptions is returned for options that make no sense.
var ErrOptions = errors.New("bad options for a report")

func (o LifeOptions) validate() error {
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, o.Level)
	case float64(o.BootstrapReplicates+1)*(1-o.Level)/2 < 1:
		// The limits are replicates counted from either end; there must be one to count.
		return fmt.Errorf("%w: %d bootstrap replicates, expected %.0f or more for %s limits, such as 500",
			ErrOptions, o.BootstrapReplicates, math.Ceil(2/(1-o.Level))-1, confidence(o.Level))
	}
	for _, by := range o.By {
		if by != ByCoating && by != ByClimate {
			return fmt.Errorf("%w: split by %q, expected %s or %s", ErrOptions, by, ByCoating, ByClimate)
		}
	}
	return nil
}

// NewLife estimates how long the patches of each group last. A life ends
// somewhere between two checkups, so the estimate is Turnbull's; limits come
// from a bootstrap over vehicles, since patches of one vehicle share its fate.
// Uncoated controls are left out, and so are patches of whose life nothing is
// known.
//
// Options that make no sense are ErrOptions. A fleet without coated patches
// gives a table without rows and a note that says so.
func NewLife(ctx context.Context, followed []study.Followed, options LifeOptions) (*Life, error) {
	plan, err := planLife(followed, options)
	if err != nil {
		return nil, err
	}
	return plan.carryOut(ctx, newTally(options.Progress, plan))
}

// lifePlan is a table of life before anything is estimated.
type lifePlan struct {
	options LifeOptions
	groups  []Group
	members map[Group][]member
}

func planLife(followed []study.Followed, options LifeOptions) (lifePlan, error) {
	if err := options.validate(); err != nil {
		return lifePlan{}, err
	}
	groups, members := grouped(followed, options.By)
	return lifePlan{options, groups, members}, nil
}

func (p lifePlan) carryOut(ctx context.Context, work *tally) (*Life, error) {
	life := &Life{
		By:         p.options.By,
		Level:      p.options.Level,
		Replicates: p.options.BootstrapReplicates,
		Seed:       p.options.Seed,
	}
	var err error
	if life.Rows, err = p.rows(ctx, work); err != nil {
		return nil, err
	}
	if life.Comparisons, err = compare(ctx, p.groups, p.members, p.options); err != nil {
		return nil, fmt.Errorf("compare groups: %w", err)
	}
	life.note()
	return life, nil
}

// rows estimates each group.
func (p lifePlan) rows(ctx context.Context, work *tally) ([]LifeRow, error) {
	var rows []LifeRow
	for _, g := range p.groups {
		end := work.done + p.options.BootstrapReplicates
		row, err := newLifeRow(ctx, g, newSample(p.members[g]), p.options, work)
		if err != nil {
			return nil, fmt.Errorf("life of %s: %w", g, err)
		}
		work.reach(end)
		rows = append(rows, *row)
	}
	return rows, nil
}

// Row returns the row of a group.
func (l *Life) Row(g Group) (row LifeRow, found bool) {
	for _, row := range l.Rows {
		if row.Group == g {
			return row, true
		}
	}
	return LifeRow{}, false
}

// note adds what a reader of any row must know.
func (l *Life) note() {
	if len(l.Rows) == 0 {
		l.Notes = []string{"There are no coated patches to tell of."}
		return
	}
	l.Notes = nil
	if slices.ContainsFunc(l.Rows, func(row LifeRow) bool { return row.Median != nil || row.NobodyFailed != nil }) {
		l.Notes = append(l.Notes, fmt.Sprintf("Limits are %s limits from %d bootstrap replicates over vehicles, seed %d. While no patch was spent yet, the lower limit is what nobody failing in n vehicles allows: %.3g^(1/n).",
			confidence(l.Level), l.Replicates, l.Seed, 1-l.Level))
	}
	l.Notes = append(l.Notes,
		"Months count from the day service began, 30.4375 days each. A figure is an estimate from these vehicles, not a warranty.")
	var leftOut, late int
	for _, row := range l.Rows {
		leftOut += row.LeftOut
		late += row.Late
	}
	if late > 0 {
		l.Notes = append(l.Notes, patches(late)+" enrolled after service began, counted from the first reading that passed.")
	}
	if leftOut > 0 {
		l.Notes = append(l.Notes, patches(leftOut)+" left out: never conclusively read, or enrolled late and never seen holding.")
	}
	if len(l.Comparisons) > 0 {
		l.Notes = append(l.Notes, "A p-value counts vehicles, not patches: it is the chance of so large a difference if the names of the groups had been dealt to whole vehicles at random, or within a vehicle that carries several.")
	}
}
