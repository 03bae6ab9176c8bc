package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// write runs do in a transaction: all of it is stored, or none.
func (s *Store) write(ctx context.Context, do func(pgx.Tx) error) error {
	return calledOff(ctx, pgx.BeginFunc(ctx, s.db, do))
}

// read runs do on one unchanging view of the database, so that what several
// statements find fits together.
func (s *Store) read(ctx context.Context, do func(pgx.Tx) error) error {
	view := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	return calledOff(ctx, pgx.BeginTxFunc(ctx, s.db, view, do))
}

// calledOff says that a failure is one because ctx ended. The driver closes the
// connection then, and at times only that shows in its error.
func calledOff(ctx context.Context, err error) error {
	cause := context.Cause(ctx)
	if err == nil || cause == nil || errors.Is(err, cause) {
		return err
	}
	return fmt.Errorf("%w: %w", cause, err)
}

// loadLock is the advisory lock of a load: any number that the migrations don't
// use.
const loadLock = 0x6265616473 + 1

// oneLoadAtATime waits until no other load is under way, and keeps others
// waiting until the transaction ends.
func oneLoadAtATime(ctx context.Context, tx pgx.Tx) error {
	return oneAtATime(ctx, tx, loadLock)
}

// oneAtATime waits until nobody else has the advisory lock, and keeps others
// waiting until the transaction ends.
func oneAtATime(ctx context.Context, tx pgx.Tx, lock int64) error {
	_, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, lock)
	return err
}
