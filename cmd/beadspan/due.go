package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"golang.org/x/term"

	"beadspan/reports"
	"beadspan/study"
)

type dueCommand struct {
	studyFlag
	On    string `placeholder:"DATE" help:"The day that counts as today, as 2026-04-30; records of later days are not looked at."`
	Ahead int    `default:"0" placeholder:"DAYS" help:"Also list what falls due within so many days."`
	Site  string `placeholder:"CODE" help:"List the vehicles of one site."`
	Most  int    `default:"40" help:"List at most so many vehicles; 0 is all. The counts are always of all."`
	Width int    `placeholder:"LETTERS" help:"Keep lines so short; by default as wide as the terminal."`
	JSON  bool   `name:"json" xor:"form" help:"Print JSON, of all vehicles."`
	CSV   bool   `name:"csv" xor:"form" help:"Print CSV, of all vehicles."`
}

// Help explains the command with an example.
func (dueCommand) Help() string {
	return `Lists the vehicles that are due for something, the most urgent first: patches that
failed under what may be traffic film and want a decon wash and a second reading; clean
fails that the next clean reading decides; then washes, iron remover and checkups by the
study's care plan ("beadspan study plan"), by how long they have been due; last those that
nobody has seen for a year. In the salt season of a vehicle's site a decon wash is due
sooner, and once more when the season is over.

With enough spent patches in the fleet it also names the day on which a checkup would
tell most of how long the coatings last.

Example:
  beadspan due
  beadspan due --site harbour --ahead 14
  beadspan due --demo --on 2026-04-01 --json`
}

// Run lists what is due.
func (c dueCommand) Run(ctx context.Context, a *app) error {
	today, err := dayAsked("due", c.On)
	if err != nil {
		return err
	}
	if c.Ahead < 0 || c.Ahead > 1000 || c.Most < 0 {
		return usageError("due: expected --ahead from 0 to 1000 days and --most from 0 vehicles")
	}
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	if err := knownSite(fleet.Sites, c.Site); err != nil {
		return err
	}
	salt, notes, err := reports.SaltSeasons(fleet)
	if err != nil {
		return err
	}
	list := reports.NewDue(st, fleet, reports.DueOptions{
		Horizon: study.Horizon{On: today, Ahead: c.Ahead},
		Site:    c.Site,
		Salt:    salt,
		Notes:   notes,
	})
	switch {
	case c.JSON:
		return list.WriteJSON(a.out)
	case c.CSV:
		return list.WriteCSV(a.out)
	}
	return list.WriteText(a.out, reports.DueText{Width: c.width(a.out), Most: c.Most})
}

func knownSite(sites []study.Site, code string) error {
	var codes []string
	for _, s := range sites {
		codes = append(codes, s.Code)
	}
	if code == "" || slices.Contains(codes, code) {
		return nil
	}
	return usageError(fmt.Sprintf("due: no vehicle of the study lives at a site %q: name one of %s", code, strings.Join(codes, ", ")))
}

// width is that of the terminal, within what reads well.
func (c dueCommand) width(out io.Writer) int {
	const usual, widest = 100, 120
	if c.Width > 0 {
		return c.Width
	}
	f, ok := out.(*os.File)
	if !ok {
		return usual
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width <= 0 {
		return usual
	}
	return min(width, widest)
}
