package main

import (
	"context"
	"fmt"

	"beadspan/cmd/beadspan/internal/calc"
	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
)

type calcMixedCommand struct {
	calcFlags
	readingFlags
	curveFlags
	Group        []string  `required:"" placeholder:"COLUMN" help:"Column whose values may differ at random, such as the vehicle; after a comma, columns of groups within it, such as the patch."`
	Model        string    `enum:"linear,exponential,stretched,logistic" default:"exponential" help:"Shape of the curve: linear, exponential, stretched or logistic."`
	Random       []string  `placeholder:"PARAMETER" help:"Parameters that differ between groups; without it start of linear, mid of logistic, else tau."`
	RandomWithin []string  `placeholder:"PARAMETER" help:"Parameters that differ between the groups within a group; the same without it."`
	Correlated   bool      `help:"Let the random effects of one level correlate."`
	Criterion    string    `enum:"ml,reml" default:"ml" help:"What is maximised: ml, or reml, which is for linear and gives no predictions."`
	Nodes        int       `default:"1" help:"How the likelihood of a curve is approximated: 0 along its tangents (fast, biased), 1 by Laplace's method, more by adaptive quadrature (one random effect only)."`
	Covariates   []string  `placeholder:"COLUMN" help:"Columns of numbers that may explain how groups differ."`
	Factor       []string  `placeholder:"COLUMN" help:"Columns of words: each but the first, in order, is compared with the first."`
	On           []string  `placeholder:"PARAMETER" help:"Parameters that covariates act on; without it start of linear, mid of logistic, else tau."`
	Predict      []string  `sep:"none" placeholder:"COLUMN=VALUE,..." help:"The typical curve for these values of all covariates and factors; give it again for more curves."`
	Quantiles    []float64 `default:"0.1,0.5,0.9" help:"Shares of groups come down to --threshold whose time is wanted."`
	Horizon      float64   `placeholder:"TIME" help:"Up to when groups are watched for that; ten times the last reading's time without it."`
	Draws        int       `default:"10000" help:"Groups drawn for that."`
	Seed         uint64    `default:"1" help:"Seed of the draws: the same seed gives the same."`
}

// Help explains the command, its fields and an example.
func (calcMixedCommand) Help() string {
	return `What lines or falling curves of many groups have in common and how they differ: each
parameter of the curve is a fixed effect, covariates times their effects, and a normal
random effect of the group, and of the group within it. Effects on tau, power and width
add to the logarithm: e to an effect multiplies them. The curves and their parameters:
  linear       start + slope t
  exponential  floor + (start - floor) exp(-t/tau)
  stretched    floor + (start - floor) exp(-(t/tau)^power)
  logistic     floor + (top - floor) / (1 + exp((t - mid)/width))
Nothing keeps a curve from rising, or values from any range: growth and other data fit too.

Fields of --json:
  model, criterion, nodes  as asked for; nodes null for linear
  n, groups, inner_groups  readings, groups and those within them (null without)
  fixed_names       of the effects below: the parameter or log and the parameter, and
                    with ": " and a covariate its effect; for linear as in a regression
  fixed, se_fixed, vcov_fixed  fixed effects, standard errors, covariance matrix. The
                    errors take the variances as known
  ci                lower, upper limits of each, by the normal distribution
  p_value           of each, whether it is 0; null for a parameter of a curve
  random_names      of the random effects; covariance and standard deviations:
  random_covariance, random_sd
  random_correlation  of two random effects that may correlate, else null
  inner             the same four of groups within groups; null without
  residual_sd, residual_variance  of a reading of weight 1
  loglik, aic, bic  with all constants, restricted for reml; bic by readings
  singular          whether the best spread is on the border: no variance somewhere, or a
                    correlation of 1
  iterations        of the search
  blups             of each group: group, inner (null without), n; random_effect and
                    inner_effect as predicted, and its own curve: parameters,
                    predictions, time_to_threshold (not with reml)
  curves            of the typical group, for each --predict, x:
    parameters      name, value, se
    predictions     for each --at: x (the time), fit, se, ci, prediction_interval (of
                    one new reading)
    time_to_threshold  for each --threshold: threshold, time, se, lower, upper, outcome,
                    extrapolated (beyond the readings)
    passage         how the times of groups are spread: threshold, horizon, draws;
                    quantiles: failure_probability, time; by each --at: time, share
                    come down, se of drawing
Where the data don't tell a model's parameters they are null, and notes says why.

Example:
  beadspan calc mixed testdata/reference/mixed-effects/sim-exponential-decay.csv --time years --value angle --group vehicle --covariates marine,desert,cold --predict marine=1,desert=0,cold=0 --threshold 90 --at 0.5,1
  beadspan calc mixed testdata/reference/mixed-effects/sleepstudy.csv --time days --value reaction --group subject --model linear --random start,slope --correlated --criterion reml --json`
}

// Run fits and prints the model.
func (c calcMixedCommand) Run(ctx context.Context, a *app) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Value: c.Value, Weight: c.Weight, Cluster: c.Group[0], Groups: c.Group[1:],
		Covariates: c.Covariates, Factors: c.Factor}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.MixedResult, error) {
		return calc.Mixed(d, options)
	})
}

// options checks what was asked for, and puts it together.
func (c calcMixedCommand) options() (o calc.MixedOptions, err error) {
	if err := c.checkFlags(); err != nil {
		return o, err
	}
	lives, err := conditions(c.Predict)
	if err != nil {
		return o, err
	}
	o = calc.MixedOptions{Level: c.Level, Model: decay.Shape(c.Model), Criterion: mixed.ML, Nodes: c.Nodes,
		Random: c.Random, Within: c.RandomWithin, Correlated: c.Correlated, On: c.On, Start: c.Start,
		MixedOutlook: calc.MixedOutlook{Predict: lives, Times: c.At, Thresholds: c.Threshold, Shares: c.Quantiles,
			Horizon: c.Horizon, Draws: c.Draws, Seed: c.Seed}}
	if c.Criterion == "reml" {
		o.Criterion = mixed.REML
	}
	if o.Held, err = c.held(); err != nil {
		return o, err
	}
	if err := o.Check(); err != nil {
		return o, usageError("calc: " + err.Error())
	}
	return o, nil
}

// checkFlags refuses what does not go together.
func (c calcMixedCommand) checkFlags() error {
	if err := c.curveFlags.check(); err != nil {
		return err
	}
	if err := checkWanted(c.Quantiles, []float64{c.Horizon}); err != nil {
		return err
	}
	linear, random := c.Model == string(decay.LinearShape), max(1, len(c.Random))
	if len(c.Group) > 1 {
		random += max(1, len(c.RandomWithin))
	}
	switch {
	case c.Criterion == "reml" && !linear:
		return usageError("calc: --criterion reml goes with --model linear: curves are fitted by ml")
	case c.Criterion == "reml" && (c.At != nil || c.Threshold != nil || c.Hold != nil || c.Predict != nil):
		return usageError("calc: --criterion reml goes with none of --at, --threshold, --predict and --hold: ml has them")
	case c.RandomWithin != nil && len(c.Group) < 2:
		return usageError("calc: --random-within: name the groups within groups, as in --group vehicle,patch")
	case c.Nodes < 0 || c.Nodes > 1 && !linear && random > 1:
		return usageError(fmt.Sprintf("calc: --nodes %d: expected 0 or 1, or more with a single random effect", c.Nodes))
	case c.Draws < 1:
		return usageError("calc: --draws: 1 or more")
	}
	return nil
}
