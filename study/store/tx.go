package store

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// write runs do in a transaction: all of it is stored, or none.
func (s *Store) write(ctx context.Context, do func(pgx.Tx) error) error {
	return pgx.BeginFunc(ctx, s.db, do)
}

// read runs do on one unchanging view of the database, so that what several
// statements find fits together.
func (s *Store) read(ctx context.Context, do func(pgx.Tx) error) error {
	view := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	return pgx.BeginTxFunc(ctx, s.db, view, do)
}

// loadLock is the advisory lock of a load: any number that the migrations don't
// use.
const loadLock = 0x6265616473 + 1

// oneLoadAtATime waits until no other load is under way, and keeps others
// waiting until the transaction ends.
func oneLoadAtATime(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, loadLock)
	return err
}
