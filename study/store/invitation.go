package store

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Invite lets whoever knows secret choose the account's password until
// expires, in place of an earlier secret. Only a hash of it is stored.
func (s *Store) Invite(ctx context.Context, accountID study.ID, secret string, expires time.Time) error {
	hash := sha256.Sum256([]byte(secret))
	_, err := s.db.Exec(ctx, `
		INSERT INTO invitation (link_sha256, account_id, expires_at)
		VALUES ($1, $2, $3)
		ON CONFLICT (account_id) DO UPDATE
		SET link_sha256 = excluded.link_sha256, expires_at = excluded.expires_at`, hash[:], accountID, expires)
	if err != nil {
		return fmt.Errorf("invite account %s: %w", accountID, err)
	}
	return nil
}

// Invited finds the account that the secret is for. It returns
// study.ErrNotFound if there is none: never, no more, or disabled.
func (s *Store) Invited(ctx context.Context, secret string) (study.Account, error) {
	hash := sha256.Sum256([]byte(secret))
	a, err := s.account(ctx, `
		WHERE NOT disabled AND account_id = (
			SELECT account_id
			FROM invitation
			WHERE link_sha256 = $1 AND expires_at > now()
		)`, hash[:])
	if err != nil {
		return a, fmt.Errorf("find an invitation: %w", err)
	}
	return a, nil
}

// TakeInvitation stores the hash of the password that the invited account has
// chosen. The secret is good no more, and the account's sessions end. It
// returns study.ErrNotFound as Invited does, and to the second of two who use
// the same secret at once.
func (s *Store) TakeInvitation(ctx context.Context, secret, passwordHash string) (a study.Account, err error) {
	hash := sha256.Sum256([]byte(secret))
	err = s.write(ctx, func(tx pgx.Tx) error {
		var id study.ID
		err := tx.QueryRow(ctx, `
			DELETE FROM invitation
			WHERE link_sha256 = $1 AND expires_at > now()
			RETURNING account_id`, hash[:]).Scan(&id)
		if errors.Is(err, pgx.ErrNoRows) {
			return study.ErrNotFound
		}
		if err != nil {
			return err
		}
		rows, err := tx.Query(ctx, `
			UPDATE account
			SET password_hash = $2, sessions_from = sessions_from + 1
			WHERE account_id = $1 AND NOT disabled
			RETURNING account_id, name, password_hash, steward, disabled, sessions_from, operator_id`, id, passwordHash)
		if err != nil {
			return err
		}
		a, err = pgx.CollectExactlyOneRow(rows, scanAccount)
		return orNotFound(err)
	})
	if err != nil {
		return a, fmt.Errorf("take an invitation: %w", explain(err))
	}
	return a, nil
}
