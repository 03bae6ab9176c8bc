// Package store keeps studies in Postgres. It is the only place with SQL.
//
// A load compares before it writes: records are known by what people call them
// (a vehicle by its code, a reading by vehicle, day, operator, patch and
// stage), what is new is added, and what differs from a stored record becomes
// a proposed amendment for a person to decide. Nothing is overwritten by a load.
//
// Package migrations makes the tables; Open refuses a database that has others.
package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Store is a database of studies. It may be used from several goroutines.
type Store struct {
	db  *pgxpool.Pool
	log *slog.Logger
}

// SchemaVersion is the number of the newest migration that the store's SQL is
// written for.
const SchemaVersion = 24

// Open connects to the database at url, with whatever settings url has for the
// driver: behind a pooler that hands out transactions it needs
// default_query_exec_mode=exec. It returns a *SchemaError when the tables there
// aren't those of SchemaVersion.
func Open(ctx context.Context, url string, log *slog.Logger) (*Store, error) {
	db, err := connect(ctx, url, log)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	version, err := schemaVersion(ctx, db)
	if err == nil && version != SchemaVersion {
		err = &SchemaError{Version: version}
	}
	if err != nil {
		db.Close()
		return nil, fmt.Errorf("open the database: %w", err)
	}
	return &Store{db: db, log: log}, nil
}

// Close waits until running calls have ended and closes the connections.
func (s *Store) Close() { s.db.Close() }

// SchemaError says that a database has the tables of another version of the
// program, or none.
type SchemaError struct {
	Version int // 0: none
}

// Error says what the database is and what to do about it.
func (e *SchemaError) Error() string {
	switch {
	case e.Version == 0:
		return "it has no tables of beadspan: apply the migrations first"
	case e.Version < SchemaVersion:
		return fmt.Sprintf("its tables are of version %d and this beadspan needs %d: apply the migrations first", e.Version, SchemaVersion)
	}
	return fmt.Sprintf("a newer beadspan made it (tables of version %d; this one knows %d): update this beadspan", e.Version, SchemaVersion)
}

func schemaVersion(ctx context.Context, db *pgxpool.Pool) (version int, err error) {
	var exists bool
	err = db.QueryRow(ctx, `SELECT to_regclass('schema_version') IS NOT NULL`).Scan(&exists)
	if err != nil || !exists {
		return 0, err
	}
	err = db.QueryRow(ctx, `SELECT version FROM schema_version`).Scan(&version)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, nil
	}
	return version, err
}
