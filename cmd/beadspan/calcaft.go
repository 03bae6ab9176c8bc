package main

import (
	"context"
	"fmt"
	"math"
	"slices"

	"beadspan/cmd/beadspan/internal/calc"
)

type calcAFTCommand struct {
	calcFlags
	timeFlags
	intervalFlags
	lifeFlags
	modelFlags
	Distribution string    `enum:"weibull,exponential,lognormal,loglogistic,best" default:"weibull" help:"Of lives: weibull, exponential, lognormal, loglogistic, or best for the one of least AIC."`
	Robust       string    `enum:"jackknife,scaled,plain" default:"jackknife" help:"What errors by --cluster do about few clusters: jackknife (wide), scaled or plain."`
	Random       string    `placeholder:"COLUMN" help:"Column whose values may differ at random in log life (random intercept)."`
	Quantiles    []float64 `default:"0.1,0.5,0.9" help:"Shares of lives ended whose time is wanted; 0.5 is the median."`
	At           []float64 `placeholder:"TIME" help:"Times at which survival is wanted."`
	Profile      bool      `help:"Also limits of quantiles from the profile likelihood, better with few ends."`
	Alive        []float64 `placeholder:"TIME" help:"Times at which a life may be known to hold still: how long it will yet, and its survival to --at."`
	Horizon      float64   `default:"Inf" placeholder:"TIME" help:"How far ahead remaining life counts; choose it within the follow-up."`
}

// Help explains the command, its fields and an example.
func (calcAFTCommand) Help() string {
	return `Accelerated failure time: log T = x'b + σW, where covariates stretch or shorten life by
exp(coefficient) a unit. W is extreme-value for weibull and exponential (σ = 1), normal for
lognormal, logistic for loglogistic. Ends may be known to the point or to intervals,
blank where open. --stratum gives each stratum a σ of its own. A model without
covariates predicts of itself; one with them needs --predict. "Failed before it was first
seen" is a blank lower end, and no end can lie at time 0.

Fields of --json:
  distribution, choice  the one fitted; with best, of each: distribution, loglik, aic
  n, n_exact, n_right, n_left, n_interval  rows, and by kind of end
  clusters          how many; 0 without --cluster
  parameters        names: of coef, then of log_scale
  coef, scale, log_scale  coefficients; σ of each stratum, and its logarithm
  se, vcov          standard errors and covariance of parameters (σ as its logarithm)
  robust_correction, robust_se, robust_vcov  the same by clusters; null without
  ci, p_value       of each parameter lower, upper limit and test, by robust_se where
                    there is one
  loglik, aic       on the scale of time
  lr_test           loglik_intercept_only, chisq, df, p_value: no covariate matters;
                    null where there is none, and with --random
  random            null, or column, sd between its values, se_sd, lower, upper (95 %),
                    and of each of groups: mean and se_mean of its effect
  predictions       for each life, x and strata:
    quantiles       failure_probability, quantile, se_quantile, log_quantile,
                    se_log_quantile, lower, upper; profile: null, or lower, upper
    survival_at     time, survival, se_survival, lower, upper
    remaining_life  for each --alive: alive, horizon, expected, se, lower, upper, and
                    survival_at given that it holds then
    fit_check       the model against Turnbull's estimate: the largest distance
                    in survival and at_time; points of a probability plot:
                    time, survival, model_survival, score. null with --random

Example:
  beadspan calc aft testdata/reference/npmle/sim-three-coatings.csv --lower left --upper right --factor coating --cluster vehicle --predict coating=A --at 365 --alive 180 --horizon 365
  beadspan calc aft testdata/reference/npmle/cosmesis.csv --lower left --upper right --distribution best --quantiles 0.5 --profile --json`
}

// Run fits and prints the model.
func (c calcAFTCommand) Run(ctx context.Context, a *app) error {
	lives, err := c.checkFlags()
	if err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Status: c.Status, Lower: c.Lower, Upper: c.Upper, Entry: c.Entry, Weight: c.Weight,
		Cluster: c.Cluster, Strata: c.Stratum, Covariates: c.Covariates, Factors: c.Factor}
	if c.Random != "" {
		columns.Groups = []string{c.Random}
	}
	options := calc.AFTOptions{Level: c.Level, Distribution: c.Distribution, Correction: c.Robust, Outlook: calc.Outlook{
		Predict: lives, Shares: c.Quantiles, Times: c.At, Profile: c.Profile, Alive: c.Alive, Horizon: c.Horizon}}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.AFTResult, error) {
		return calc.AFT(d, options)
	})
}

// checkFlags refuses what does not go together, and reads the lives to predict
// for.
func (c calcAFTCommand) checkFlags() (lives [][]calc.Condition, err error) {
	if err := checkLives(c.timeFlags, c.intervalFlags); err != nil {
		return nil, err
	}
	if err := checkWanted(c.Quantiles, slices.Concat(c.At, c.Alive)); err != nil {
		return nil, err
	}
	switch {
	case c.Random != "" && (c.Cluster != "" || c.Profile || c.Distribution == calc.BestDistribution):
		return nil, usageError("calc: --random goes with neither --cluster nor --profile, and needs a --distribution other than best")
	case !(c.Horizon > 0) || math.IsNaN(c.Horizon):
		return nil, usageError(fmt.Sprintf("calc: --horizon %v: expected a time above 0", c.Horizon))
	}
	return c.lives()
}
