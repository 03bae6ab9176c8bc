package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"beadspan/reports"
	"beadspan/study"
)

type reportCommand struct {
	studyFlag
	estimateFlags
	Out string `default:"beadspan-report" placeholder:"DIR" type:"path" help:"Folder to write to; made when missing."`
}

// Help explains the command with an example.
func (reportCommand) Help() string {
	return `Writes one page, durability.html, which needs no network, each of its plots as .svg
and .png, and reviews.csv, the readings that need looking at. The page is for the study
lead; it says how long each coating lasts, by climate too, how the contact angle of its
patches falls, and what the rules made of the readings.

Example:
  beadspan report --out autumn-report`
}

// reportPage is the report's page within its folder.
const reportPage = "durability.html"

// Run writes the report.
func (c reportCommand) Run(ctx context.Context, a *app) error {
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	report, err := a.newReport(ctx, st, fleet, c.estimateFlags)
	if err != nil {
		return err
	}
	plots, err := writeReport(ctx, c.Out, report)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "wrote %s, %s and %s\n", filepath.Join(c.Out, reportPage), counted(plots, "plot file"), reports.ReviewsFile)
	return nil
}

func (a *app) newReport(ctx context.Context, st study.Study, fleet study.Fleet, f estimateFlags) (*reports.Report, error) {
	bar := a.progress("estimating")
	defer bar.done()
	report, err := reports.New(ctx, st, fleet, reports.Options{
		Level:               f.Level,
		BootstrapReplicates: f.Replicates,
		Seed:                f.Seed,
		Version:             version,
		Made:                study.DayOfTime(time.Now()),
		Progress:            bar.count,
	})
	if errors.Is(err, reports.ErrOptions) {
		return nil, usageError("report: " + err.Error())
	}
	return report, err
}

// writeReport writes the page and what belongs beside it, and counts the files
// of plots.
func writeReport(ctx context.Context, dir string, report *reports.Report) (plots int, err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return 0, fmt.Errorf("write report: %w", err)
	}
	writers := map[string]func(io.Writer) error{reportPage: report.WriteHTML, reports.ReviewsFile: report.WriteReviewsCSV}
	beside := len(writers)
	for _, plot := range report.Plots() {
		writers[plot.Name+".svg"] = plot.WriteSVG
		writers[plot.Name+".png"] = plot.WritePNG
	}
	for name, write := range writers {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if err := writeWhole(filepath.Join(dir, name), write); err != nil {
			return 0, fmt.Errorf("write report: %w", err)
		}
	}
	return len(writers) - beside, nil
}

// writeWhole writes a file under another name first, so that whoever opens it
// never sees half of it.
func writeWhole(path string, write func(io.Writer) error) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(path), ".beadspan-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(temp.Name())
		}
	}()
	if err := write(temp); err != nil {
		temp.Close()
		return err
	}
	if err := temp.Chmod(0o644); err != nil {
		temp.Close()
		return err
	}
	if err := temp.Close(); err != nil {
		return err
	}
	return os.Rename(temp.Name(), path)
}
