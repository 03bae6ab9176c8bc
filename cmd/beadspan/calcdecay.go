package main

import (
	"context"
	"fmt"

	"beadspan/cmd/beadspan/internal/calc"
	"beadspan/stats/decay"
)

type calcDecayCommand struct {
	calcFlags
	readingFlags
	curveFlags
	Group   []string `placeholder:"COLUMN" help:"Columns whose values tell groups apart: a curve for each."`
	Model   string   `enum:"linear,exponential,stretched,logistic,auto" default:"exponential" help:"Shape of the curve: linear, exponential, stretched, logistic, or auto for the one of least AICc."`
	Robust  string   `enum:"none,huber,tukey" default:"none" help:"What odd readings may pull: all they can (none), little (huber), or nothing if far off (tukey)."`
	Check   bool     `help:"Also check the residuals: order in time, spread, shape, odd readings."`
	Profile bool     `help:"Also limits that follow the bend of the sum of squares, better with few readings."`
	Cluster string   `placeholder:"COLUMN" help:"Column that tells which readings share their circumstances, as those of one vehicle do: limits are then by the scatter between them."`
}

// Help explains the command, its fields and an example.
func (calcDecayCommand) Help() string {
	return `A falling curve through contact angles, by least squares: of all readings, or with
--group of each group by itself (calc mixed fits groups together). The curves and their
parameters:
  linear       start - rate t
  exponential  floor + (start - floor) exp(-t/tau)
  stretched    floor + (start - floor) exp(-(t/tau)^power)
  logistic     floor + (top - floor) / (1 + exp((t - mid)/width))
Angles lie between 0 and 180 degrees and no start is needed. Values of another kind are
fitted from --start, a value of each parameter that --hold does not give; then the curve
may rise, and there is no time to a threshold.

Fields of --json, for each of groups:
  model, n, clusters  shape, of auto the best; readings; how many clusters, 0 without --cluster
  robust            null, or huber or tukey
  falls             whether a fall was seen; if not, the curve is one level. null with
                    --start
  refined           the least-squares curve:
    names, parameters, sd, vcov  parameters, their standard errors and covariance
    state           of each: estimated, fixed, at its bound or undetermined; only the
                    first kind has an error and limits
    ci, profile     lower, upper limits of each, and the same by --profile: null without
    rss, residual_sd, df  weighted sum of squares, the standard deviation of a reading
                    of weight 1, and its degrees of freedom
  loglik, aic, bic, aicc  of normal errors, whose variance counts as a parameter; null
                    with --robust
  predictions       for each --at: x (the time), fit, se, ci, prediction_interval (of one
                    new reading)
  time_to_threshold  for each --threshold: threshold, time, se, lower, upper, outcome,
                    extrapolated (outside the times of the readings), profile: null, or
                    lower, upper
  choice            with --model auto, for each shape: model, falls, aicc, delta (above the
                    least), weight among all. Shapes that show no fall are one
  averaged_time_to_threshold  with it, for each --threshold, what all shapes together say
                    by their weights: as time_to_threshold, and weight_crosses,
                    weight_not_reached, weight_below_from_start of the shapes
  odd_readings      with --robust, what kept less than half of its weight: row (of the
                    file), x (the time), value, trust (the share that it kept)
  residual_checks   with --check: check (runs, spread, normality, outliers), statistic,
                    p_value, row (of the file, if it is about one), note (what was found)

Example:
  beadspan calc decay testdata/reference/decay-curves/field-fleet.csv --time x --value y --group vehicle --threshold 90
  beadspan calc decay testdata/reference/decay-curves/field-sigmoid.csv --time x --value y --model auto --threshold 90 --check
  beadspan calc decay testdata/reference/decay-curves/field-one-vehicle.csv --time x --value y --weight w --at 90,365 --threshold 70 --profile --json`
}

// Run fits and prints the curves.
func (c calcDecayCommand) Run(ctx context.Context, a *app) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	columns := calc.Columns{Time: c.Time, Value: c.Value, Weight: c.Weight, Cluster: c.Cluster, Groups: c.Group}
	return calculate(ctx, a, c.calcFlags, columns, func(d *calc.Data) (*calc.DecayResult, error) {
		return calc.Decay(d, options)
	})
}

// options checks what was asked for, and puts it together.
func (c calcDecayCommand) options() (o calc.DecayOptions, err error) {
	if err := c.checkFlags(); err != nil {
		return o, err
	}
	held, err := c.held()
	if err != nil {
		return o, err
	}
	o = calc.DecayOptions{Level: c.Level, Model: decay.Shape(c.Model), Floor: c.Floor, Start: c.Start, Held: held,
		Times: c.At, Thresholds: c.Threshold}
	o.Residuals, o.Profile = c.Check, c.Profile
	if c.Robust != "none" {
		o.Loss = decay.Loss(c.Robust)
	}
	if err := o.Check(); err != nil {
		return o, usageError("calc: " + err.Error())
	}
	return o, nil
}

// checkFlags refuses what does not go together.
func (c calcDecayCommand) checkFlags() error {
	if err := c.curveFlags.check(); err != nil {
		return err
	}
	switch {
	case c.Start != nil && c.Threshold != nil:
		return usageError("calc: --start goes without --threshold: when a curve comes down to a value is told of contact angles, which need no start")
	case c.Profile && (c.Robust != "none" || c.Cluster != ""):
		return usageError("calc: --profile goes with neither --robust nor --cluster: it takes the sum of squares of independent readings")
	case c.Model == string(calc.AnyShape) && (c.Start != nil || c.Robust != "none"):
		return usageError("calc: --model auto goes with neither --start nor --robust: shapes are weighed by the likelihood of angles")
	case c.Start == nil && c.Hold != nil:
		return usageError("calc: --hold goes with --start; contact angles have --floor")
	case c.Start == nil && c.Floor != nil && !(*c.Floor >= 0 && *c.Floor < 180):
		return usageError(fmt.Sprintf("calc: --floor %v: expected an angle of 0 to less than 180 degrees", *c.Floor))
	}
	for _, threshold := range c.Threshold {
		if !(threshold >= 0 && threshold <= 180) {
			return usageError(fmt.Sprintf("calc: --threshold %v: expected an angle of 0 to 180 degrees", threshold))
		}
	}
	return nil
}
