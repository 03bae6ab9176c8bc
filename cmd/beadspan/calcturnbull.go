package main

import (
	"context"
	"sync/atomic"

	"beadspan/cmd/beadspan/internal/calc"
)

type calcTurnbullCommand struct {
	calcFlags
	timeFlags
	intervalFlags
	lifeFlags
	Cluster    string    `placeholder:"COLUMN" help:"Column that tells which lives share their circumstances, as patches of one vehicle do: they are resampled together."`
	Group      []string  `placeholder:"COLUMN" help:"Columns whose values tell groups apart: an estimate for each."`
	Quantiles  []float64 `default:"0.25,0.5,0.75" help:"Shares of lives ended whose time is wanted; 0.5 is the median."`
	At         []float64 `placeholder:"TIME" help:"Times at which survival is wanted."`
	Replicates int       `default:"500" help:"Bootstrap replicates behind the limits; 0 for no limits."`
	Seed       uint64    `default:"1" help:"Seed of the bootstrap: the same seed gives the same limits."`
}

// Help explains the command, its fields and an example.
func (calcTurnbullCommand) Help() string {
	return `Turnbull's estimate from lives whose ends are known to intervals (lower, upper]: still
holding at lower, ended by upper. lower = upper is an end known to the point, a blank
upper a life that still held at lower, a blank lower one never seen to hold. With
--time and --status it is the Kaplan–Meier estimate.

Fields of --json, for each of groups:
  n                 lives: rows, or the sum of their weights
  clusters          values of --cluster; rows, without it
  intervals         left, right, left_closed: the innermost intervals, the only
                    places where lives can be said to have ended. Closed on the
                    left only where both ends are one point
  mass              of each, the share of lives that ended in it
  survival_after    of each, the share of lives left after it
  loglik            log-likelihood
  unique_masses     whether no other masses fit as well (always, without --entry)
  kkt_gap           how far from the maximum at most: 1e-8 or less
  iterations        steps it took
  quantile_interval for each of --quantiles: failure_probability, left, right: the
                    interval in which that share has ended; exact_hit: the curve
                    runs flat at it; time_spread_evenly: within it, lives taken to
                    end evenly, a convention; ci: lower, upper. null is not reached
  survival_at       for each of --at: time; determined: whether the data settle S
                    there; survival, null if not; lower, upper: what they allow;
                    survival_spread_evenly: lives taken to end evenly in between;
                    ci: lower, upper confidence limits
and beside groups: bootstrap_replicates, seed

Example:
  beadspan calc turnbull testdata/reference/npmle/cosmesis.csv --lower left --upper right --group group
  beadspan calc turnbull testdata/reference/npmle/cosmesis.csv --lower left --upper right --at 12,24 --replicates 199 --json`
}

// Run computes and prints the estimates.
func (c calcTurnbullCommand) Run(ctx context.Context, a *app) error {
	if err := checkLives(c.timeFlags, c.intervalFlags); err != nil {
		return err
	}
	if err := checkWanted(c.Quantiles, c.At); err != nil {
		return err
	}
	if c.Replicates < 0 {
		return usageError("calc: --replicates: 0 or more")
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Lower: c.Lower, Upper: c.Upper,
		Entry: c.Entry, Weight: c.Weight, Cluster: c.Cluster, Groups: c.Group}
	bar := a.progress("resampling")
	defer bar.done()
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.TurnbullResult, error) {
		var done atomic.Int64
		groups := 1
		if d.Groups != nil {
			groups = len(d.Groups.Names)
		}
		options := calc.TurnbullOptions{Level: c.Level, Shares: c.Quantiles, Times: c.At, Replicates: c.Replicates, Seed: c.Seed,
			Done: func() { bar.set(done.Add(1), int64(groups*c.Replicates)) }}
		return calc.Turnbull(ctx, d, options)
	})
}
