package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/study/store"
)

type loadCommand struct {
	studyFlag
	Path    string `arg:"" optional:"" help:"Folder, .zip or .xlsx that holds the log."`
	Dates   string `enum:"iso,dmy,mdy" default:"iso" help:"How dates are written when not as 2026-04-30: dmy (30.4.2026) or mdy (4/30/2026)."`
	DryRun  bool   `help:"Check the log and say what loading would do, but store nothing."`
	Blanks  bool   `name:"blanks-correct" help:"Take blank cells for known to be blank: propose to empty what is stored there."`
	Columns bool   `help:"Print the tables and columns of a log, and quit."`
	JSON    bool   `name:"json" help:"Print the result as JSON."`
}

// Help explains the command with an example.
func (loadCommand) Help() string {
	return `A log is a folder, a .zip or one .xlsx workbook with the tables coatings, sites,
vehicles, patches, checkups and care. "beadspan load --columns" prints their columns.

Everything is checked before anything is stored, and all that is wrong is said at
once. A log goes in whole or not at all; the same log loaded again changes nothing.
A record that differs from the stored one is kept as a proposed amendment:
"beadspan amend list" shows them. A blank cell or a missing column says nothing, so it
corrects nothing, unless you ask for that by --blanks-correct. A site that was added
before ("beadspan site add") needs no row.

Rows that leave common practice, such as a coating laid at 5 °C, are warned of and
stored all the same: the maker's sheet comes first.

Example:
  beadspan load season-2026/ --dates dmy --dry-run
  beadspan load season-2026/ --dates dmy`
}

// isoDates asks for nothing beside the ISO dates that are always read.
const isoDates = "iso"

// fieldStudy is the study made for the first log when nobody has named one.
const fieldStudy = "field"

// Run loads the log.
func (c loadCommand) Run(ctx context.Context, a *app) error {
	if c.Columns {
		return c.printColumns(a.out)
	}
	if c.Path == "" {
		return usageError("load: name the folder, .zip or .xlsx that holds the log")
	}
	if a.Demo {
		return usageError("load: the demo fleet is not a place for records; leave --demo out")
	}
	records := lateStore{open: a.openStore}
	defer records.close()
	fleet, told, err := c.read(ctx, a, &records)
	if err != nil {
		return err
	}
	s, err := records.get(ctx)
	if err != nil {
		return err
	}
	st, isNew, err := c.studyOrNew(ctx, s)
	if err != nil {
		return err
	}
	if isNew && c.DryRun {
		return c.say(a.out, st, store.Loaded{Added: fleet.Size()}, told)
	}
	if isNew {
		if err := s.AddStudy(ctx, st); err != nil {
			return err
		}
		fmt.Fprintf(a.err, "made the study %s: %s\n", st.Code, protocolWords(st.Protocol))
	}
	loaded, err := a.loadFleet(ctx, s, st, fleet, store.Loading{OnlyTry: c.DryRun, BlanksCorrect: c.Blanks})
	if err != nil {
		return err
	}
	return c.say(a.out, st, loaded, told)
}

func (c loadCommand) printColumns(out io.Writer) error {
	if c.JSON {
		return ingest.WriteColumnsJSON(out)
	}
	return ingest.WriteColumns(out)
}

// told is what was told beside a log's records.
type told struct {
	notices  []string
	warnings ingest.WarningGroups
}

// read checks the log. Notices, warnings and problems are printed a line each;
// the error only says what the problems mean.
func (c loadCommand) read(ctx context.Context, a *app, records *lateStore) (fleet study.Fleet, told told, err error) {
	options := ingest.Options{
		Notice:  func(n ingest.Notice) { told.notices = append(told.notices, n.String()) },
		Warning: told.warnings.Add,
		Site:    func(code string) (study.Site, bool, error) { return records.site(ctx, code) },
	}
	if c.Dates != isoDates {
		options.DateOrder = ingest.DateOrder(c.Dates)
	}
	bar := a.progress("reading")
	options.Progress = bar.set
	fleet, err = ingest.ReadLog(ctx, c.Path, options)
	bar.done()
	for _, n := range told.notices {
		fmt.Fprintln(a.err, "note:", n)
	}
	var problems study.Problems
	if errors.As(err, &problems) {
		fmt.Fprintln(a.err, problems.Error())
		return fleet, told, fmt.Errorf("load %s: nothing was stored. Put right what is listed above and load again", c.Path)
	}
	for _, w := range told.warnings {
		fmt.Fprintln(a.err, "warning:", w)
	}
	if len(told.warnings) > 0 {
		fmt.Fprintln(a.err, "Warnings are common practice, no source. The rows are taken as they are; the maker's sheet comes first.")
	}
	return fleet, told, err
}

// studyOrNew finds the study to load into. The first log of all is given a
// study of its own, under the default protocol, that isn't stored yet.
func (c loadCommand) studyOrNew(ctx context.Context, s *store.Store) (st study.Study, isNew bool, err error) {
	studies, err := s.Studies(ctx)
	if err != nil {
		return study.Study{}, false, err
	}
	if len(studies) > 0 || (c.Study != "" && c.Study != fieldStudy) {
		st, err = c.study(ctx, s)
		return st, false, err
	}
	return study.Study{
		ID:       study.NewID(),
		Code:     fieldStudy,
		Question: "How long do our coatings stay hydrophobic on our customers' vehicles?",
		Protocol: study.DefaultProtocol(),
		CarePlan: study.DefaultCarePlan(),
	}, true, nil
}

// loadFleet stores the fleet with progress, or finds out what storing it would do.
func (a *app) loadFleet(ctx context.Context, s *store.Store, st study.Study, fleet study.Fleet, how store.Loading) (store.Loaded, error) {
	bar := a.progress("storing")
	defer bar.done()
	how.Progress = bar.count
	return s.LoadAs(ctx, st.ID, fleet, how)
}
