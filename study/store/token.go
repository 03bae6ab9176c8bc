package store

import (
	"context"
	"crypto/sha256"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddToken stores a token that whoever knows secret may use. Only a hash of the
// secret is stored. It returns study.Problems if t is not valid.
func (s *Store) AddToken(ctx context.Context, t study.Token, secret string) error {
	hash := sha256.Sum256([]byte(secret))
	err := t.Validate().OrNil()
	if err == nil {
		_, err = s.db.Exec(ctx, `
			INSERT INTO api_token (token_sha256, token_id, account_id, study_id, role, label, expires_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			hash[:], t.ID, t.AccountID, t.StudyID, string(t.Role), t.Label, t.Expires)
	}
	if err != nil {
		return fmt.Errorf("add a token: %w", explain(err))
	}
	return nil
}

// Tokens lists the tokens of an account, also those that are good no more; the
// latest first.
func (s *Store) Tokens(ctx context.Context, accountID study.ID) ([]study.Token, error) {
	rows, err := s.db.Query(ctx, selectTokens+`
		WHERE account_id = $1
		ORDER BY recorded_at DESC, token_id`, accountID)
	if err != nil {
		return nil, fmt.Errorf("list tokens: %w", err)
	}
	tokens, err := pgx.CollectRows(rows, scanToken)
	if err != nil {
		return nil, fmt.Errorf("list tokens: %w", err)
	}
	return tokens, nil
}

// selectTokens is the statement that scanToken reads rows of.
const selectTokens = `
		SELECT token_id, account_id, study_id, role, label, expires_at, revoked_at, used_at, recorded_at
		FROM api_token`

func scanToken(row pgx.CollectableRow) (t study.Token, err error) {
	err = row.Scan(&t.ID, &t.AccountID, &t.StudyID, &t.Role, &t.Label, &t.Expires, &t.Revoked, &t.Used, &t.Made)
	return t, err
}

// RevokeToken ends a token of the account. It returns study.ErrNotFound if the
// account has no such token; one that has ended stays as it is.
func (s *Store) RevokeToken(ctx context.Context, accountID, tokenID study.ID) error {
	tag, err := s.db.Exec(ctx, `
		UPDATE api_token
		SET revoked_at = coalesce(revoked_at, now())
		WHERE account_id = $1 AND token_id = $2`, accountID, tokenID)
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("revoke a token: %w", err)
	}
	return nil
}

// usedEvery is how exactly a token's last use is kept: not every call writes.
const usedEvery = time.Minute

// TokenOf finds the token of a secret that is good now, and notes that it was
// used. It returns study.ErrNotFound for any other secret.
func (s *Store) TokenOf(ctx context.Context, secret string) (study.Token, error) {
	hash := sha256.Sum256([]byte(secret))
	t, err := s.tokenOf(ctx, hash[:])
	if err != nil {
		return t, fmt.Errorf("find a token: %w", err)
	}
	return t, nil
}

func (s *Store) tokenOf(ctx context.Context, hash []byte) (study.Token, error) {
	rows, err := s.db.Query(ctx, selectTokens+`
		WHERE token_sha256 = $1 AND revoked_at IS NULL AND expires_at > now()`, hash)
	if err != nil {
		return study.Token{}, err
	}
	t, err := pgx.CollectExactlyOneRow(rows, scanToken)
	if err != nil {
		return t, orNotFound(err)
	}
	_, err = s.db.Exec(ctx, `
		UPDATE api_token
		SET used_at = now()
		WHERE token_sha256 = $1 AND (used_at IS NULL OR used_at < now() - $2::interval)`, hash, usedEvery)
	return t, err
}
