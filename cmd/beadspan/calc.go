package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"beadspan/cmd/beadspan/internal/calc"
	"beadspan/study"
)

type calcCommand struct {
	KM       calcKMCommand       `cmd:"" name:"km" help:"Kaplan–Meier: survival from ends known to the point, and lives that still held."`
	Turnbull calcTurnbullCommand `cmd:"" help:"Turnbull: survival from ends known to intervals."`
	LogRank  calcLogRankCommand  `cmd:"" name:"logrank" help:"Log-rank and score tests: whether groups last equally long."`
	Cox      calcCoxCommand      `cmd:"" help:"Cox: how covariates multiply the rate at which lives end."`
	AFT      calcAFTCommand      `cmd:"" name:"aft" help:"Accelerated failure time: how covariates stretch lives, known to the point or to intervals."`
	Decay    calcDecayCommand    `cmd:"" help:"Falling curves through contact angles, and when they come down to a threshold."`
	Mixed    calcMixedCommand    `cmd:"" help:"Mixed models: what lines or falling curves of many groups have in common, and how they differ."`
}

// Help explains the commands with an example.
func (calcCommand) Help() string {
	return `The statistics of this program on any CSV file with a heading: no database, nothing
stored. Say by options which column means what. Cells are separated by commas,
semicolons or tabs; numbers have a decimal point; time has the unit of the file. A row
with a blank in a column that you name is left out and counted in a note, except
that a blank end of an interval is open and a blank entry is 0. FILE - is
standard input.

--json prints everything at full precision: null where something can't be estimated
or isn't reached, "Inf" where it is infinite. Each command's --help says what the
fields are; beside those there are these:
  file            the file read
  rows            rows computed from
  rows_left_out   rows with a blank, or of weight 0
  notes           what a reader must know, in words
  conf_level      confidence level of all limits, where there are any
  group           of each group, what stands in the --group columns; null without

Example:
  beadspan calc km testdata/reference/kaplan-meier/leukemia-6mp.csv --time time --status status --group group`
}

// calcFlags are what all calculations have in common.
type calcFlags struct {
	File  string   `arg:"" help:"CSV file with a heading; - for standard input."`
	Where []string `sep:"none" placeholder:"COLUMN=VALUE" help:"Take only rows with this value; give it again for more columns, or for more values of one."`
	Level float64  `name:"conf-level" default:"0.95" help:"Confidence level of the limits."`
	JSON  bool     `name:"json" help:"Print everything as JSON at full precision."`
}

// timeFlags name the columns of lives whose end is known to the point.
type timeFlags struct {
	Time   string `placeholder:"COLUMN" help:"Column of the time at which the life was last seen."`
	Status string `placeholder:"COLUMN" help:"Column that holds 1 where the life ended then, 0 where it still held."`
}

// intervalFlags name the columns of lives whose end is known to an interval.
type intervalFlags struct {
	Lower string `placeholder:"COLUMN" help:"Column of the time at which the life still held; blank if it never was seen to."`
	Upper string `placeholder:"COLUMN" help:"Column of the time by which it had ended; blank if it had not."`
}

// lifeFlags name the columns that go with any kind of life.
type lifeFlags struct {
	Entry  string `placeholder:"COLUMN" help:"Column of the time since when it was watched (delayed entry)."`
	Weight string `placeholder:"COLUMN" help:"Column that says how many lives a row stands for."`
}

func (f timeFlags) check() error {
	if f.Time == "" || f.Status == "" {
		return usageError("calc: name the columns that say when lives ended: --time and --status, or where the command has them --lower and --upper")
	}
	return nil
}

// checkLives asks for the columns of either form.
func checkLives(times timeFlags, intervals intervalFlags) error {
	switch {
	case intervals == intervalFlags{}:
		return times.check()
	case times != timeFlags{}:
		return usageError("calc: say when lives ended with --time and --status or with --lower and --upper, not with both")
	case intervals.Lower == "" || intervals.Upper == "":
		return usageError("calc: --lower and --upper go together")
	}
	return nil
}

// modelFlags name the columns that a model explains lives with.
type modelFlags struct {
	Covariates []string `placeholder:"COLUMN" help:"Columns of numbers that may explain how long lives last."`
	Factor     []string `placeholder:"COLUMN" help:"Columns of words: each but the first, in order, is compared with the first."`
	Cluster    string   `placeholder:"COLUMN" help:"Column that tells which lives share their circumstances, as patches of one vehicle do: gives errors that allow for it."`
	Stratum    []string `placeholder:"COLUMN" help:"Columns whose values tell strata apart."`
	Predict    []string `sep:"none" placeholder:"COLUMN=VALUE,..." help:"Predict for a life with these values of all covariates, factors and strata; give it again for more lives."`
}

// lives reads the lives to predict for.
func (f modelFlags) lives() ([][]calc.Condition, error) { return conditions(f.Predict) }

// conditions reads the values of covariates to predict for.
func conditions(predict []string) (lives [][]calc.Condition, err error) {
	for _, text := range predict {
		values, err := calc.ParseValues(text)
		if err != nil {
			return nil, usageError("calc: --predict: " + err.Error())
		}
		lives = append(lives, values)
	}
	return lives, nil
}

// computed is what a calculation finds.
type computed interface{ WriteText(io.Writer) error }

// calculate reads the file, computes and prints. Neither reading from a
// terminal nor a long computation keeps an interrupt waiting.
func calculate[R computed](ctx context.Context, a *app, f calcFlags, columns calc.Columns, compute func(*calc.Data) (R, error)) error {
	if !(f.Level > 0 && f.Level < 1) {
		return usageError(fmt.Sprintf("calc: --conf-level %v: it must lie between 0 and 1, as 0.95 does", f.Level))
	}
	for _, text := range f.Where {
		condition, err := calc.ParseCondition(text)
		if err != nil {
			return usageError("calc: --where: " + err.Error())
		}
		columns.Where = append(columns.Where, condition)
	}
	found, err := unlessStopped(ctx, func() (r R, err error) {
		data, err := f.read(columns)
		if err != nil {
			return r, err
		}
		return compute(data)
	})
	var problems study.Problems
	if errors.As(err, &problems) {
		fmt.Fprintln(a.err, problems.Error())
		return errors.New("calc: nothing was computed. Put right what is listed above")
	}
	var usage usageError
	if errors.As(err, &usage) {
		return usage
	}
	if err != nil {
		return fmt.Errorf("calc: %w", err)
	}
	if f.JSON {
		return calc.WriteJSON(a.out, found)
	}
	return found.WriteText(a.out)
}

func (f calcFlags) read(columns calc.Columns) (*calc.Data, error) {
	if f.File == "-" {
		return calc.Read("standard input", os.Stdin, columns)
	}
	file, err := os.Open(f.File)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return calc.Read(f.File, file, columns)
}

// unlessStopped does work that can't be stopped by ctx itself, and leaves it
// behind when ctx ends first.
func unlessStopped[R any](ctx context.Context, work func() (R, error)) (R, error) {
	type outcome struct {
		found R
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		found, err := work()
		done <- outcome{found, err}
	}()
	select {
	case o := <-done:
		return o.found, o.err
	case <-ctx.Done():
		var none R
		return none, ctx.Err()
	}
}

// checkWanted refuses shares of lives that no quantile has, and times before
// the start.
func checkWanted(shares, times []float64) error {
	for _, share := range shares {
		if !(share > 0 && share < 1) {
			return usageError(fmt.Sprintf("calc: --quantiles %v: a share of lives lies between 0 and 1", share))
		}
	}
	for _, t := range times {
		if !(t >= 0) || math.IsInf(t, 1) {
			return usageError(fmt.Sprintf("calc: time %v: expected a time, 0 or more", t))
		}
	}
	return nil
}
