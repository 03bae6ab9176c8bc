package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// ErrAccounts says that a first account can't be made because there are
// accounts.
var ErrAccounts = errors.New("there are accounts already")

// accountLock is the advisory lock of whoever makes the first account, or
// takes the last steward away.
const accountLock = loadLock + 1

// HasAccounts reports whether anybody has an account yet.
func (s *Store) HasAccounts(ctx context.Context) (has bool, err error) {
	err = s.db.QueryRow(ctx, `SELECT EXISTS (SELECT FROM account)`).Scan(&has)
	if err != nil {
		return false, fmt.Errorf("look for accounts: %w", err)
	}
	return has, nil
}

// AddFirstAccount stores the account that looks after all others. It returns
// ErrAccounts if there is one, and study.Problems if a is not valid.
func (s *Store) AddFirstAccount(ctx context.Context, a study.Account) error {
	err := a.Validate().OrNil()
	if err == nil {
		err = s.write(ctx, func(tx pgx.Tx) error {
			if err := oneAtATime(ctx, tx, accountLock); err != nil {
				return err
			}
			var has bool
			if err := tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM account)`).Scan(&has); err != nil {
				return err
			}
			if has {
				return ErrAccounts
			}
			return insertAccount(ctx, tx, a)
		})
	}
	if err != nil {
		return fmt.Errorf("add the first account: %w", explain(err))
	}
	return nil
}

// AddAccount stores an account with what it may do in one study. It returns
// study.Problems if either is not valid or the name is taken.
func (s *Store) AddAccount(ctx context.Context, a study.Account, m study.Membership) error {
	err := append(a.Validate(), m.Validate()...).OrNil()
	if err == nil {
		err = s.write(ctx, func(tx pgx.Tx) error {
			if err := insertAccount(ctx, tx, a); err != nil {
				return err
			}
			return putMembership(ctx, tx, m)
		})
	}
	if err != nil {
		return fmt.Errorf("add account %s: %w", a.Name, explain(err))
	}
	return nil
}

func insertAccount(ctx context.Context, tx pgx.Tx, a study.Account) error {
	_, err := tx.Exec(ctx, `
		INSERT INTO account (account_id, name, password_hash, steward, disabled, sessions_from, operator_id)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		a.ID, a.Name, a.PasswordHash, a.Steward, a.Disabled, a.SessionsFrom, a.OperatorID)
	return err
}

// AccountByName finds who signs in by the name. It returns study.ErrNotFound
// for nobody.
func (s *Store) AccountByName(ctx context.Context, name string) (study.Account, error) {
	a, err := s.account(ctx, `WHERE name = $1`, name)
	if err != nil {
		return a, fmt.Errorf("find account %s: %w", name, err)
	}
	return a, nil
}

// Account finds an account. It returns study.ErrNotFound if there is none.
func (s *Store) Account(ctx context.Context, id study.ID) (study.Account, error) {
	a, err := s.account(ctx, `WHERE account_id = $1`, id)
	if err != nil {
		return a, fmt.Errorf("find account %s: %w", id, err)
	}
	return a, nil
}

func (s *Store) account(ctx context.Context, where string, value any) (study.Account, error) {
	rows, err := s.db.Query(ctx, selectAccounts+where, value)
	if err != nil {
		return study.Account{}, err
	}
	a, err := pgx.CollectExactlyOneRow(rows, scanAccount)
	return a, orNotFound(err)
}

// selectAccounts is the statement that scanAccount reads rows of.
const selectAccounts = `
		SELECT account_id, name, password_hash, steward, disabled, sessions_from, operator_id
		FROM account
		`

func scanAccount(row pgx.CollectableRow) (a study.Account, err error) {
	err = row.Scan(&a.ID, &a.Name, &a.PasswordHash, &a.Steward, &a.Disabled, &a.SessionsFrom, &a.OperatorID)
	return a, err
}

// SetPassword stores the hash of an account's new password. It ends the
// account's sessions, and its link for choosing a password. It returns the
// account as it is then, or study.ErrNotFound.
func (s *Store) SetPassword(ctx context.Context, id study.ID, hash string) (a study.Account, err error) {
	err = s.write(ctx, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, `
			UPDATE account
			SET password_hash = $2, sessions_from = sessions_from + 1
			WHERE account_id = $1
			RETURNING account_id, name, password_hash, steward, disabled, sessions_from, operator_id`, id, hash)
		if err != nil {
			return err
		}
		if a, err = pgx.CollectExactlyOneRow(rows, scanAccount); err != nil {
			return orNotFound(err)
		}
		_, err = tx.Exec(ctx, `DELETE FROM invitation WHERE account_id = $1`, id)
		return err
	})
	if err != nil {
		return a, fmt.Errorf("set the password of account %s: %w", id, explain(err))
	}
	return a, nil
}

// ErrLastSteward says that somebody must be left who looks after the others.
var ErrLastSteward = errors.New("the last steward can't be disabled")

// DisableAccount keeps an account from signing in, and ends its sessions; or
// lets it in again. It returns study.ErrNotFound or ErrLastSteward.
func (s *Store) DisableAccount(ctx context.Context, id study.ID, disabled bool) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		if err := oneAtATime(ctx, tx, accountLock); err != nil {
			return err
		}
		var steward, left bool
		err := tx.QueryRow(ctx, `
			UPDATE account
			SET disabled = $2, sessions_from = sessions_from + 1
			WHERE account_id = $1
			RETURNING steward`, id, disabled).Scan(&steward)
		if err != nil {
			return orNotFound(err)
		}
		err = tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM account WHERE steward AND NOT disabled)`).Scan(&left)
		if err == nil && steward && !left {
			err = ErrLastSteward
		}
		return err
	})
	if err != nil {
		return fmt.Errorf("disable account %s: %w", id, err)
	}
	return nil
}
