package main

import (
	"context"

	"beadspan/cmd/beadspan/internal/calc"
)

type calcCoxCommand struct {
	calcFlags
	timeFlags
	lifeFlags
	modelFlags
	Ties string    `enum:"efron,breslow,exact" default:"efron" help:"What to do about lives that end at the same time: efron, breslow or exact."`
	At   []float64 `placeholder:"TIME" help:"Times at which predicted survival is wanted; without it, each time at which a life ended."`
}

// Help explains the command, its fields and an example.
func (calcCoxCommand) Help() string {
	return `The proportional hazards model. A row is watched from --entry to --time, so that a life
whose covariates change is several rows. Within each stratum the rate at which lives
end is whatever it is; covariates multiply it by exp(coefficient) a unit. Ends must be
known to the point: calc aft is for lives known to intervals.

Fields of --json:
  ties, n, events   treatment of ties, rows, lives that ended
  clusters          how many; 0 without --cluster
  covariates        names; of a factor COLUMN=VALUE
  coef, se, vcov    coefficients, standard errors, covariance matrix. coef is null
                    for a covariate that others make redundant, Inf or -Inf for one
                    that runs off; notes says so
  robust_se, robust_vcov  the same by clusters; null without
  hazard_ratio, ci  exp(coef) and its limits lower, upper, by robust_se where there is
                    one
  p_value           of each coefficient, by the same error
  loglik_null, loglik  log partial likelihood without and with the covariates
  lr_test, wald_test_model_based, score_test  chisq, df, p_value: no covariate matters
  wald_test_robust, score_test_robust  the same by clusters; null without
  concordance       c, se; concordant, discordant, tied_x, tied_y, tied_xy: pairs
  ph_test_km, ph_test_identity, ph_test_rank  whether hazard ratios stay the same
                    over time, by three scales of it: terms, chisq, df, p_value;
                    null with exact ties
  predicted_survival  for each --predict: x and strata (the life), times, survival, se_survival,
                    cumhaz, lower_log and upper_log (limits symmetric on the log
                    scale), baseline_method. null past the last time seen

Example:
  beadspan calc cox testdata/reference/kaplan-meier/lung.csv --time time --status status --covariates age,ph_karno --factor sex --cluster inst
  beadspan calc cox testdata/reference/kaplan-meier/leukemia-6mp.csv --time time --status status --factor group --predict group=6-MP --at 5,10,20 --json`
}

// Run fits and prints the model.
func (c calcCoxCommand) Run(ctx context.Context, a *app) error {
	if err := c.check(); err != nil {
		return err
	}
	if err := checkWanted(nil, c.At); err != nil {
		return err
	}
	lives, err := c.lives()
	if err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Entry: c.Entry, Weight: c.Weight, Cluster: c.Cluster,
		Strata: c.Stratum, Covariates: c.Covariates, Factors: c.Factor}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.CoxResult, error) {
		return calc.Cox(d, calc.CoxOptions{Level: c.Level, Ties: c.Ties, Predict: lives, Times: c.At})
	})
}
