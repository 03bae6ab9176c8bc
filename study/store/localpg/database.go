package localpg

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// CreateDatabase makes an empty database of the given name unless there is one.
func (s *Server) CreateDatabase(ctx context.Context, name string) error {
	err := s.admin(ctx, func(conn *pgx.Conn) error {
		exists, err := databaseExists(ctx, conn, name)
		if err != nil || exists {
			return err
		}
		_, err = conn.Exec(ctx, "CREATE DATABASE "+pgx.Identifier{name}.Sanitize())
		if alreadyThere(err) {
			return nil // another process was faster
		}
		return err
	})
	if err != nil {
		return fmt.Errorf("create database %s: %w", name, err)
	}
	return nil
}

// admin runs work on a connection to the maintenance database.
func (s *Server) admin(ctx context.Context, work func(*pgx.Conn) error) error {
	conn, err := pgx.Connect(ctx, s.URL("postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return work(conn)
}

func databaseExists(ctx context.Context, conn *pgx.Conn, name string) (exists bool, err error) {
	err = conn.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)", name).Scan(&exists)
	return exists, err
}

// alreadyThere tells whether err says that the database exists. Two that make
// it at the same moment can also meet at the catalog's unique index.
func alreadyThere(err error) bool {
	var refusal *pgconn.PgError
	return errors.As(err, &refusal) && (refusal.Code == "42P04" ||
		refusal.Code == "23505" && refusal.ConstraintName == "pg_database_datname_index")
}
