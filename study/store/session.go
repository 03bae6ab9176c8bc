package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// Sessions keeps what browsers that are signed in are known by. It is the
// store that github.com/alexedwards/scs/v2 asks for.
type Sessions struct{ s *Store }

// Sessions returns where sessions are kept.
func (s *Store) Sessions() Sessions { return Sessions{s} }

// FindCtx returns the data of a session that hasn't expired.
func (x Sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	err = x.s.db.QueryRow(ctx, `
		SELECT data
		FROM session
		WHERE token = $1 AND expires_at > now()`, token).Scan(&data)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, fmt.Errorf("find a session: %w", err)
	}
	return data, true, nil
}

// CommitCtx stores a session.
func (x Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	_, err := x.s.db.Exec(ctx, `
		INSERT INTO session (token, data, expires_at)
		VALUES ($1, $2, $3)
		ON CONFLICT (token) DO UPDATE
		SET data = excluded.data, expires_at = excluded.expires_at`, token, data, expiry)
	if err != nil {
		return fmt.Errorf("store a session: %w", err)
	}
	return nil
}

// DeleteCtx ends a session; one that isn't there is no error.
func (x Sessions) DeleteCtx(ctx context.Context, token string) error {
	if _, err := x.s.db.Exec(ctx, `DELETE FROM session WHERE token = $1`, token); err != nil {
		return fmt.Errorf("end a session: %w", err)
	}
	return nil
}

// Find does what FindCtx does, for callers without a context.
func (x Sessions) Find(token string) (data []byte, found bool, err error) {
	return x.FindCtx(context.Background(), token)
}

// Commit does what CommitCtx does, for callers without a context.
func (x Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return x.CommitCtx(context.Background(), token, data, expiry)
}

// Delete does what DeleteCtx does, for callers without a context.
func (x Sessions) Delete(token string) error {
	return x.DeleteCtx(context.Background(), token)
}

// Sweep forgets the sessions that have expired.
func (x Sessions) Sweep(ctx context.Context) error {
	if _, err := x.s.db.Exec(ctx, `DELETE FROM session WHERE expires_at <= now()`); err != nil {
		return fmt.Errorf("forget expired sessions: %w", err)
	}
	return nil
}
