package localpg

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// swapTrials bounds how often the swap is tried against clients that connect
// again as fast as they are cut off; one trial takes up to five seconds.
const swapTrials = 10

// Restore brings back the database that Backup wrote to file. It is built
// beside the one in use, which is replaced only when all went well and is kept
// under the name returned; kept is empty if there was none. After an error the
// database in use is as it was.
//
// Clients of the old database lose their connections.
func (s *Server) Restore(ctx context.Context, database, file string, schema Schema) (kept string, err error) {
	kept, err = s.restore(ctx, database, file, schema)
	if err != nil {
		return "", fmt.Errorf("restore database %s from %s: %w", database, file, err)
	}
	return kept, nil
}

func (s *Server) restore(ctx context.Context, database, file string, schema Schema) (kept string, err error) {
	format, err := kind(file)
	if err != nil {
		return "", err
	}
	if format == "dump" && !s.programs.has("pg_restore") {
		return "", fmt.Errorf("it was made by pg_dump, and %s has no pg_restore: install PostgreSQL's client programs "+
			"('apt-get install postgresql', 'dnf install postgresql-server', 'brew install postgresql@17')", s.programs.BinDir)
	}
	// Two restores at once would build in the same place.
	lock, err := lockFile(ctx, filepath.Join(s.dir, "restore.lock"))
	if err != nil {
		return "", err
	}
	defer lock.Close()

	fresh := shorten(database, "_restoring")
	if err := s.createAnew(ctx, fresh); err != nil {
		return "", err
	}
	if format == "dump" {
		err = s.client(ctx, "pg_restore", "--exit-on-error", "--single-transaction", "--no-owner", "--no-privileges",
			"--dbname="+fresh, file)
	} else {
		err = s.unarchive(ctx, fresh, file, schema)
	}
	if err == nil {
		kept, err = s.swap(ctx, database, fresh)
	}
	if err != nil {
		return "", errors.Join(err, s.drop(context.WithoutCancel(ctx), fresh))
	}
	return kept, nil
}

// createAnew makes an empty database in place of what a restore that was
// killed may have left under the name.
func (s *Server) createAnew(ctx context.Context, name string) error {
	if err := s.drop(ctx, name); err != nil {
		return err
	}
	return s.admin(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, "CREATE DATABASE "+pgx.Identifier{name}.Sanitize()+" TEMPLATE template0")
		return err
	})
}

func (s *Server) drop(ctx context.Context, name string) error {
	return s.admin(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, "DROP DATABASE IF EXISTS "+pgx.Identifier{name}.Sanitize()+" WITH (FORCE)")
		return err
	})
}

// swap puts the fresh database in the place of the one in use, both renames or
// none, and returns the name under which the old one is kept.
func (s *Server) swap(ctx context.Context, database, fresh string) (kept string, err error) {
	err = s.admin(ctx, func(conn *pgx.Conn) error {
		for trial := 1; ; trial++ {
			kept, err = trySwap(ctx, conn, database, fresh)
			if err == nil || !inUse(err) || trial == swapTrials {
				return err
			}
		}
	})
	return kept, err
}

func trySwap(ctx context.Context, conn *pgx.Conn, database, fresh string) (kept string, err error) {
	exists, err := databaseExists(ctx, conn, database)
	if err != nil {
		return "", err
	}
	// A rename waits five seconds for clients to go, and lets no new ones in.
	const cutOff = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = ANY ($1)"
	if _, err := conn.Exec(ctx, cutOff, []string{database, fresh}); err != nil {
		return "", err
	}
	err = pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		if exists {
			kept = shorten(database, time.Now().UTC().Format("_before_20060102_150405"))
			if err := rename(ctx, tx, database, kept); err != nil {
				return err
			}
		}
		return rename(ctx, tx, fresh, database)
	})
	return kept, err
}

func rename(ctx context.Context, tx pgx.Tx, from, to string) error {
	_, err := tx.Exec(ctx, "ALTER DATABASE "+pgx.Identifier{from}.Sanitize()+" RENAME TO "+pgx.Identifier{to}.Sanitize())
	return err
}

// inUse tells whether a rename failed because of clients.
func inUse(err error) bool {
	var refusal *pgconn.PgError
	return errors.As(err, &refusal) && refusal.Code == "55006"
}

// shorten joins a name and a suffix within the 63 bytes that Postgres keeps of
// a name.
func shorten(name, suffix string) string {
	return name[:min(len(name), 63-len(suffix))] + suffix
}
