package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddPasskey stores a key pair's public half. It returns study.Problems if p is
// not valid or the pair is stored.
func (s *Store) AddPasskey(ctx context.Context, p study.Passkey) error {
	err := p.Validate().OrNil()
	if err == nil {
		_, err = s.db.Exec(ctx, `
			INSERT INTO passkey (credential, account_id, label, record)
			VALUES ($1, $2, $3, $4)`, p.Credential, p.AccountID, p.Label, string(p.Record))
	}
	if err != nil {
		return fmt.Errorf("add a passkey: %w", explain(err))
	}
	return nil
}

// Passkeys lists the passkeys of an account, the oldest first.
func (s *Store) Passkeys(ctx context.Context, accountID study.ID) ([]study.Passkey, error) {
	rows, err := s.db.Query(ctx, `
		SELECT credential, account_id, label, record::text, used_at, recorded_at
		FROM passkey
		WHERE account_id = $1
		ORDER BY recorded_at, credential`, accountID)
	if err != nil {
		return nil, fmt.Errorf("list passkeys: %w", err)
	}
	passkeys, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (p study.Passkey, err error) {
		var record string
		err = row.Scan(&p.Credential, &p.AccountID, &p.Label, &record, &p.Used, &p.Made)
		p.Record = []byte(record)
		return p, err
	})
	if err != nil {
		return nil, fmt.Errorf("list passkeys: %w", err)
	}
	return passkeys, nil
}

// UsePasskey notes that an account signed in by a passkey, and what the
// protocol has to know of it from then on.
func (s *Store) UsePasskey(ctx context.Context, accountID study.ID, credential, record []byte) error {
	tag, err := s.db.Exec(ctx, `
		UPDATE passkey
		SET record = $3, used_at = now()
		WHERE account_id = $1 AND credential = $2`, accountID, credential, string(record))
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("note the use of a passkey: %w", err)
	}
	return nil
}

// RemovePasskey forgets a passkey of the account. It returns study.ErrNotFound
// if the account has no such passkey.
func (s *Store) RemovePasskey(ctx context.Context, accountID study.ID, credential []byte) error {
	tag, err := s.db.Exec(ctx, `
		DELETE FROM passkey
		WHERE account_id = $1 AND credential = $2`, accountID, credential)
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("remove a passkey: %w", err)
	}
	return nil
}
