// Package migrations brings a database to the schema that this program knows.
//
// Each NNNN_noun.sql file is one step, applied once, in order, in a
// transaction of its own. A file that was applied anywhere is never edited;
// a change is a new file.
package migrations

import (
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/tern/v2/migrate"
)

//go:embed *.sql
var files embed.FS

// ErrNewer says that a newer program made the database.
var ErrNewer = errors.New("the database was made by a newer beadspan: update this one")

// EditedError says that a file which was applied to a database reads otherwise
// in this program.
type EditedError struct {
	File string
}

// Error says what was found and what to do.
func (e *EditedError) Error() string {
	return fmt.Sprintf("%s reads otherwise here than when it was applied to the database: use the beadspan that made the database, or load the logs into a new one", e.File)
}

// Version is the number of the newest step.
func Version() int {
	steps, err := read(files)
	if err != nil {
		panic(err) // the files are part of the program
	}
	return len(steps)
}

// VersionTable is the table whose one row has, in its column version, the
// number of the last step that was applied.
const VersionTable = "schema_version"

// Apply brings the database at url to the newest step. Where several programs
// start at once the first one does it and the others wait for it.
//
// It returns ErrNewer when the database has steps that this program doesn't
// know, and an *EditedError when one of its steps reads otherwise here. Either
// way, and when a step fails, the database stays as the last whole step left it.
//
// The lock that makes others wait belongs to a session, so url must lead to
// the server itself, not to a pooler that hands out transactions.
func Apply(ctx context.Context, url string) error {
	return ApplyTo(ctx, url, int32(Version()))
}

// ApplyTo does the same up to the step of the given number, for a backup that
// an older program made. It never goes back: a database that is past version
// is an error.
func ApplyTo(ctx context.Context, url string, version int32) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return fmt.Errorf("apply migrations: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := apply(ctx, conn, files, version); err != nil {
		return fmt.Errorf("apply migrations: %w", err)
	}
	return nil
}

// lock is the advisory lock of whoever migrates: any number of our own.
const lock = 0x6265616473 // "beads"

// apply brings conn's database to the step of the given number in fsys. The
// lock and the session end together.
func apply(ctx context.Context, conn *pgx.Conn, fsys fs.FS, version int32) error {
	steps, err := read(fsys)
	if err != nil {
		return err
	}
	if err := onlyUTF8(ctx, conn); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, `SELECT pg_advisory_lock($1)`, lock); err != nil {
		return err
	}
	runner, err := migrate.NewMigrator(ctx, conn, VersionTable)
	if err != nil {
		return err
	}
	if err := compare(ctx, conn, runner, steps); err != nil {
		return err
	}
	for _, s := range steps {
		runner.Migrations = append(runner.Migrations, &migrate.Migration{
			Sequence: int32(s.number), Name: s.file, UpFunc: s.run,
		})
	}
	return runner.MigrateTo(ctx, version)
}

// onlyUTF8 refuses a database that can't hold every name and note.
func onlyUTF8(ctx context.Context, conn *pgx.Conn) error {
	var encoding string
	if err := conn.QueryRow(ctx, `SHOW server_encoding`).Scan(&encoding); err != nil {
		return err
	}
	if encoding != "UTF8" {
		return fmt.Errorf("the database has encoding %s: create it with ENCODING 'UTF8'", encoding)
	}
	return nil
}

// step is one file.
type step struct {
	number int
	file   string
	sql    string
	sha256 string
}

// read returns the steps in order. A gap or a number used twice is an error.
func read(fsys fs.FS) ([]step, error) {
	names, err := migrate.FindMigrations(fsys)
	if err != nil {
		return nil, err
	}
	steps := make([]step, len(names))
	for i, name := range names {
		sql, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(sql)
		steps[i] = step{i + 1, name, string(sql), hex.EncodeToString(sum[:])}
	}
	return steps, nil
}

// run applies the step and notes its hash, in the transaction that the
// migrator has begun on conn.
func (s step) run(ctx context.Context, conn *pgx.Conn) error {
	if _, err := conn.Exec(ctx, s.sql); err != nil {
		var pgErr *pgconn.PgError
		if errors.As(err, &pgErr) && pgErr.Position > 0 {
			return fmt.Errorf("%s, at character %d: %w", s.file, pgErr.Position, err)
		}
		return fmt.Errorf("%s: %w", s.file, err)
	}
	_, err := conn.Exec(ctx, `
		INSERT INTO schema_file (number, file, sha256)
		VALUES ($1, $2, $3)`, s.number, s.file, s.sha256)
	return err
}

// compare refuses a database whose applied steps aren't the first of steps.
func compare(ctx context.Context, conn *pgx.Conn, runner *migrate.Migrator, steps []step) error {
	_, err := conn.Exec(ctx, `
		CREATE TABLE IF NOT EXISTS schema_file (
			number     integer     NOT NULL,
			file       text        NOT NULL,
			sha256     text        NOT NULL,
			applied_at timestamptz NOT NULL DEFAULT now(),

			CONSTRAINT schema_file_key PRIMARY KEY (number)
		)`)
	if err != nil {
		return err
	}
	version, err := runner.GetCurrentVersion(ctx)
	if err != nil {
		return err
	}
	if int(version) > len(steps) {
		return ErrNewer
	}
	rows, err := conn.Query(ctx, `
		SELECT sha256
		FROM schema_file
		ORDER BY number`)
	if err != nil {
		return err
	}
	applied, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	if len(applied) != int(version) {
		return fmt.Errorf("the database says it has %d steps but notes %d: restore it from a backup", version, len(applied))
	}
	for i, sum := range applied {
		if sum != steps[i].sha256 {
			return &EditedError{File: steps[i].file}
		}
	}
	return nil
}
