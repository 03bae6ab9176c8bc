package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"

	"beadspan/reports"
)

type reportCommand struct {
	studyFlag
	estimateFlags
	Paper string `enum:"a4,letter" default:"a4" help:"Paper of the printed report: a4 or letter."`
	On    string `placeholder:"DATE" help:"The day that the report says it was made on, as 2026-04-30. Today by default."`
	Out   string `default:"beadspan-report" placeholder:"DIR" type:"path" help:"Folder to write to; made when missing."`
}

// Help explains the command with an example.
func (reportCommand) Help() string {
	return `Writes durability.html, a page that needs no network; study-report.pdf, the same for
print; each of their plots as .svg and .png; reviews.csv, the readings that need looking
at; and reproduce.zip, the data, the results, and the commands with which an outsider
works every figure out again.

The report says how long each coating lasts, by climate too, how the coatings compare and
whether makers' claims hold, how the contact angle falls, where the vehicles and patches
went, how good the data are, and by which methods all this was worked out. The same
records, day, version and seed give the same files.

Example:
  beadspan report --out autumn-report
  beadspan report --demo --replicates 199 --paper letter`
}

// The report's files within its folder.
const (
	reportPage    = "durability.html"
	reportPrinted = "study-report.pdf"
	reportBundle  = "reproduce.zip"
)

// Run writes the report.
func (c reportCommand) Run(ctx context.Context, a *app) error {
	made, err := dayAsked("report", c.On)
	if err != nil {
		return err
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	st, err := c.study(ctx, s)
	if err != nil {
		return err
	}
	records, err := recordsOf(ctx, s, st, made)
	if err != nil {
		return err
	}
	report, err := a.newReport(ctx, records, c.estimateFlags)
	if err != nil {
		return err
	}
	defer report.close()
	plots, err := report.write(ctx, c.Out, reports.Paper(c.Paper))
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "wrote %s, %s, %s, %s and %s\n", filepath.Join(c.Out, reportPage), reportPrinted, reportBundle,
		counted(plots, "plot file"), reports.ReviewsFile)
	return nil
}

// write writes the report's files, and counts those of plots.
func (r *fullReport) write(ctx context.Context, dir string, paper reports.Paper) (plots int, err error) {
	writers := map[string]func(io.Writer) error{
		reportPage:          r.WriteHTML,
		reportPrinted:       func(w io.Writer) error { return r.WritePDF(w, paper) },
		reportBundle:        func(w io.Writer) error { return r.writeBundle(ctx, w) },
		reports.ReviewsFile: r.WriteReviewsCSV,
	}
	drawn := plotWriters(r.plots())
	maps.Copy(writers, drawn)
	if err := writeFiles(ctx, dir, writers); err != nil {
		return 0, fmt.Errorf("write report: %w", err)
	}
	return len(drawn), nil
}

// plots are those of all sections.
func (r *fullReport) plots() []reports.Plot {
	var plots []reports.Plot
	for _, s := range r.Sections() {
		for _, part := range s.Parts {
			if part.Plot != nil {
				plots = append(plots, *part.Plot)
			}
		}
	}
	return plots
}

// plotWriters write each plot as .svg and .png, by the names of the files.
func plotWriters(plots []reports.Plot) map[string]func(io.Writer) error {
	writers := map[string]func(io.Writer) error{}
	for _, plot := range plots {
		writers[plot.Name+".svg"] = plot.WriteSVG
		writers[plot.Name+".png"] = plot.WritePNG
	}
	return writers
}

// writeFiles writes files, by their names, into a folder that it makes if need be.
func writeFiles(ctx context.Context, dir string, writers map[string]func(io.Writer) error) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for name, write := range writers {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := writeWhole(filepath.Join(dir, name), write); err != nil {
			return err
		}
	}
	return nil
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

// asked turns options that make no sense into a fault of how the command was
// called.
func asked(command string, err error) error {
	if errors.Is(err, reports.ErrOptions) {
		return usageError(command + ": " + err.Error())
	}
	return err
}

// usualEstimates are those of the flags left alone.
func usualEstimates() estimateFlags {
	life := reports.DefaultLifeOptions()
	return estimateFlags{Level: life.Level, Replicates: life.BootstrapReplicates, Seed: life.Seed}
}
