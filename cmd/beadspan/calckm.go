package main

import (
	"context"
	"slices"

	"beadspan/cmd/beadspan/internal/calc"
)

type calcKMCommand struct {
	calcFlags
	timeFlags
	lifeFlags
	Group     []string  `placeholder:"COLUMN" help:"Columns whose values tell groups apart: a curve for each."`
	ConfType  []string  `enum:"log-log,log,plain,logit,arcsin" default:"log-log" help:"Scales on which limits are symmetric: log-log, log, plain, logit, arcsin. The first is printed, --json has all."`
	Quantiles []float64 `default:"0.25,0.5,0.75" help:"Shares of lives ended whose time is wanted; 0.5 is the median."`
	At        []float64 `placeholder:"TIME" help:"Times at which survival is wanted."`
	Tau       []float64 `placeholder:"TIME" help:"Times up to which the mean life is wanted (restricted mean); groups are compared by it."`
	Flat      string    `enum:"middle,start" default:"middle" help:"Where a quantile lies when the curve runs flat at it: middle or start of the stretch."`
	Band      string    `enum:"none,equal-precision,hall-wellner" default:"none" help:"Also a band that holds the whole curve at once: equal-precision or hall-wellner."`
	BandFrom  float64   `placeholder:"TIME" help:"Where the band begins; at the first end without it."`
	BandTo    float64   `default:"Inf" placeholder:"TIME" help:"Where the band ends; with the curve without it."`
}

// Help explains the command, its fields and an example.
func (calcKMCommand) Help() string {
	return `The Kaplan–Meier estimate with Greenwood's errors. Times equal up to rounding are one.

Fields of --json, for each of groups:
  n                 rows
  events            lives that ended
  time              times at which a life ended or was last seen; the lists that
                    follow have an element for each
  n_risk            lives watched and holding just before
  n_event           lives that ended then
  n_censor          lives last seen then, still holding
  survival          share of lives that outlast the time
  se_survival       its standard error
  se_log_survival   standard error of its logarithm
  nelson_aalen      cumulative hazard, the sum of n_event/n_risk
  se_nelson_aalen   its standard error
  ci                for each of --conf-type, lower and upper limits of survival; the
                    names have _ for -: log_log, log, plain, logit, arcsin
  quantiles         failure_probability: shares of lives ended; estimate: when they
                    had; ci: limits of that. null is not reached
  survival_at       for each of --at: time, n_risk, survival, se_survival, ci
  rmst              for each of --tau: tau, rmst (mean life, those longer than tau
                    counted as tau), se, lower, upper
  band              null, or kind, from, to, critical_value, time, survival and, for
                    each of --conf-type, ci: limits that hold all times at once
and beside groups:
  rmst_difference   for each of --tau and two groups a, b: tau, a, b, difference
                    (a - b), se, lower, upper, z, p_value

Example:
  beadspan calc km testdata/reference/kaplan-meier/leukemia-6mp.csv --time time --status status --group group --tau 20
  beadspan calc km testdata/reference/kaplan-meier/leukemia-6mp.csv --time time --status status --where group=6-MP --at 10,20 --conf-type plain --json`
}

// Run computes and prints the curves.
func (c calcKMCommand) Run(ctx context.Context, a *app) error {
	if err := c.check(); err != nil {
		return err
	}
	options := calc.CurveOptions{Level: c.Level, Scales: c.ConfType, Shares: c.Quantiles, Times: c.At, Taus: c.Tau,
		First: c.Flat == "start", Band: calc.BandOptions{Kind: c.Band, From: c.BandFrom, To: c.BandTo}}
	if err := checkWanted(c.Quantiles, slices.Concat(c.At, c.Tau, []float64{c.BandFrom})); err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Entry: c.Entry, Weight: c.Weight, Groups: c.Group}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.KaplanMeierResult, error) {
		return calc.KaplanMeier(d, options)
	})
}
