package main

import (
	"context"
	"fmt"
	"strings"

	"beadspan/migrations"
	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/localpg"
)

// databaseFlags say where the records are.
type databaseFlags struct {
	DatabaseURL string `name:"database-url" env:"BEADSPAN_DATABASE_URL" placeholder:"URL" help:"Use this Postgres (14 or later) instead of the program's own."`
	DataDir     string `name:"data-dir" env:"BEADSPAN_DATA_DIR" placeholder:"DIR" type:"path" help:"Keep the program's own Postgres here."`
	PGBin       string `name:"pg-bin" env:"BEADSPAN_PG_BIN" placeholder:"DIR" type:"path" help:"Directory of the Postgres server programs."`
	Demo        bool   `help:"Work on the demo fleet instead of your own records."`
}

// The databases in the program's own Postgres.
const (
	recordsDatabase = "beadspan"
	demoDatabase    = "beadspan_demo"
)

func (f databaseFlags) database() string {
	if f.Demo {
		return demoDatabase
	}
	return recordsDatabase
}

// server starts the program's own Postgres if it isn't running.
func (a *app) server(ctx context.Context) (*localpg.Server, error) {
	if a.DatabaseURL != "" {
		return nil, usageError("the program's own Postgres is not in use while --database-url or BEADSPAN_DATABASE_URL names another")
	}
	return localpg.Open(ctx, a.serverOptions())
}

func (a *app) serverOptions() localpg.Options {
	return localpg.Options{Dir: a.DataDir, BinDir: a.PGBin, Log: a.log}
}

// openStore opens the database that the flags name, its schema brought up to
// date.
func (a *app) openStore(ctx context.Context) (*store.Store, error) {
	url := a.DatabaseURL
	if url == "" {
		server, err := a.server(ctx)
		if err != nil {
			return nil, err
		}
		if err := server.CreateDatabase(ctx, a.database()); err != nil {
			return nil, err
		}
		url = server.URL(a.database())
	}
	if err := migrations.Apply(ctx, url); err != nil {
		return nil, err
	}
	return store.Open(ctx, url, a.log)
}

// studyFlag names the study that a command works on.
type studyFlag struct {
	Study string `placeholder:"CODE" help:"Study to work on; may be left out when there is only one."`
}

// study finds the study that the flag names, or the only one.
func (f studyFlag) study(ctx context.Context, s *store.Store) (study.Study, error) {
	studies, err := s.Studies(ctx)
	if err != nil {
		return study.Study{}, err
	}
	var codes []string
	for _, st := range studies {
		if st.Code == f.Study || (f.Study == "" && len(studies) == 1) {
			return st, nil
		}
		codes = append(codes, st.Code)
	}
	switch {
	case len(studies) == 0:
		return study.Study{}, fmt.Errorf("there is no study yet: load a log with 'beadspan load PATH', or look at the demo with 'beadspan demo'")
	case f.Study == "":
		return study.Study{}, usageError("name one study with --study: " + strings.Join(codes, ", "))
	}
	return study.Study{}, usageError(fmt.Sprintf("there is no study %q: name one of %s", f.Study, strings.Join(codes, ", ")))
}
