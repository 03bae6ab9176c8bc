package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"

	"github.com/alecthomas/kong"
	"golang.org/x/term"
)

// version is what "beadspan --version" and the report say.
const version = "0.1.0"

// The exit codes.
const (
	exitFailed = 1
	exitUsage  = 2
)

// commands is the whole command line: flags for all commands, then a field
// for each command.
type commands struct {
	databaseFlags

	Verbose bool             `help:"Say what is being done, on stderr."`
	Version kong.VersionFlag `help:"Print the version and quit."`

	DemoFleet demoCommand    `cmd:"" name:"demo" help:"Show the main job on an invented fleet, in a database of its own."`
	Load      loadCommand    `cmd:"" help:"Load a log of coatings, sites, vehicles, patches, checkups and care."`
	Life      lifeCommand    `cmd:"" help:"Print how long each coating stays hydrophobic."`
	Decay     decayCommand   `cmd:"" help:"Print how the contact angle falls, and what to expect of a vehicle."`
	Climate   climateCommand `cmd:"" help:"Print how long coatings last by climate, and forecast it for other places."`
	Compare   compareCommand `cmd:"" help:"Compare coatings: how many times as long, and how many months longer."`
	Claim     claimCommand   `cmd:"" help:"Hold makers' claims against what the study has seen."`
	Due       dueCommand     `cmd:"" help:"List what vehicles are due for: second readings, washes, checkups."`
	Letter    letterCommand  `cmd:"" help:"Write to customers, each about their own vehicle."`
	Report    reportCommand  `cmd:"" help:"Write the durability report: a page, the same for print, and all it takes to work it out again."`
	Serve     serveCommand   `cmd:"" help:"Serve the wash bay and the office to browsers."`
	Labels    labelsCommand  `cmd:"" help:"Write a sheet of labels that open vehicles on a phone."`
	Calc      calcCommand    `cmd:"" help:"Run the statistics on any CSV file, without a database."`
	Study     studyCommand   `cmd:"" help:"Name studies and the protocol of each."`
	Site      siteCommand    `cmd:"" help:"Keep the places where vehicles live, and show their climate."`
	Amend     amendCommand   `cmd:"" help:"Decide on corrections that loading proposed."`
	DB        dbCommand      `cmd:"" name:"db" help:"Look after the database that the program brings with it."`
}

// app is what commands work with: the streams and the flags for all.
type app struct {
	databaseFlags
	out, err io.Writer
	log      *slog.Logger
}

// usageError is a fault in how the program was called, found after the flags
// had been read.
type usageError string

func (e usageError) Error() string { return string(e) }

// run is the whole program but for signals and the exit itself.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	var cli commands
	exited := false
	parser := kong.Must(&cli,
		kong.Name("beadspan"),
		kong.Description("Keeps a field study of how long coatings on vehicles stay hydrophobic, and tells what it knows.\n\n"+
			"Begin with: beadspan demo"),
		kong.Writers(out, errOut),
		kong.WithHyphenPrefixedParameters(true), // --lon -74
		kong.Exit(func(int) { exited = true }),  // after --help and --version
		kong.Vars{"version": "beadspan " + version, "listen": usualListen},
		kong.Vars(carePlanVars()),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true, WrapUpperBound: 100}),
		kong.BindTo(ctx, (*context.Context)(nil)),
	)
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	switch {
	case exited:
		return 0
	case err != nil:
		fmt.Fprintf(errOut, "beadspan: %v\nTry: beadspan --help\n", err)
		return exitUsage
	}
	a := &app{databaseFlags: cli.databaseFlags, out: out, err: errOut, log: logger(cli.Verbose, errOut)}
	if err := parsed.Run(a); err != nil {
		return a.fail(parsed.Command(), err)
	}
	return 0
}

// fail tells the person what went wrong, and chooses the exit code.
func (a *app) fail(command string, err error) int {
	if errors.Is(err, context.Canceled) {
		fmt.Fprintln(a.err, "beadspan: stopped; nothing was left half done")
		return exitFailed
	}
	fmt.Fprintf(a.err, "beadspan: %v\n", err)
	var usage usageError
	if errors.As(err, &usage) {
		fmt.Fprintf(a.err, "Try: beadspan %s --help\n", firstWord(command))
		return exitUsage
	}
	return exitFailed
}

func logger(verbose bool, w io.Writer) *slog.Logger {
	if !verbose {
		return slog.New(slog.DiscardHandler)
	}
	return slog.New(slog.NewTextHandler(w, nil))
}

// isTerminal reports whether w is a terminal, where progress may be drawn.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// writeJSON writes value as people can read it too.
func writeJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(value)
}
