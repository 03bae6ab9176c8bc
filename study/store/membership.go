package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Member is an account of a study and what it may do there.
type Member struct {
	Account    study.Account
	Membership study.Membership
	Operator   string // code of the person whose readings the account logs; empty for none
}

// Members lists who may see a study, in order of name. Stewards, who may see
// all studies, are among them as owners.
func (s *Store) Members(ctx context.Context, studyID study.ID) ([]Member, error) {
	rows, err := s.db.Query(ctx, `
		SELECT a.account_id, a.name, a.password_hash, a.steward, a.disabled, a.sessions_from, a.operator_id,
			$1::uuid, CASE WHEN a.steward THEN 'owner' ELSE m.role END, a.steward OR m.every_shop, `+shopIDs+`,
			coalesce(p.code, '')
		FROM account a
		LEFT JOIN membership m ON m.account_id = a.account_id AND m.study_id = $1
		LEFT JOIN person p ON p.person_id = a.operator_id
		WHERE a.steward OR m.study_id IS NOT NULL
		ORDER BY a.name`, studyID)
	if err != nil {
		return nil, fmt.Errorf("list members: %w", err)
	}
	members, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (x Member, err error) {
		a, m := &x.Account, &x.Membership
		err = row.Scan(&a.ID, &a.Name, &a.PasswordHash, &a.Steward, &a.Disabled, &a.SessionsFrom, &a.OperatorID,
			&m.StudyID, &m.Role, &m.EveryShop, &m.ShopIDs, &x.Operator)
		m.AccountID = a.ID
		return x, err
	})
	if err != nil {
		return nil, fmt.Errorf("list members: %w", err)
	}
	return members, nil
}

// shopIDs selects the shops of membership m; NULL for none.
const shopIDs = `(
				SELECT array_agg(x.shop_id ORDER BY x.shop_id)
				FROM membership_shop x
				WHERE x.account_id = m.account_id AND x.study_id = m.study_id
			)`

// Access is a study with what one account may do there.
type Access struct {
	Study      study.Study
	Revision   int64 // counts the changes of the study's records
	Membership study.Membership
}

// AccessOf finds a study by its code, and what the account may do there. It
// returns study.ErrNotFound if there is no such study, and also if the account
// has no business there, so that nobody learns the names of others' studies.
func (s *Store) AccessOf(ctx context.Context, a study.Account, code string) (Access, error) {
	all, err := s.accesses(ctx, a, `AND s.code = $3`, code)
	if err == nil && len(all) == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return Access{}, fmt.Errorf("find study %s: %w", code, orNotFound(err))
	}
	return all[0], nil
}

// AccessesOf lists the studies that the account may see, in order of code.
func (s *Store) AccessesOf(ctx context.Context, a study.Account) ([]Access, error) {
	all, err := s.accesses(ctx, a, ``)
	if err != nil {
		return nil, fmt.Errorf("list the studies of an account: %w", err)
	}
	return all, nil
}

// accesses lists the studies that the account may see, those for which the
// condition holds too, in order of code.
func (s *Store) accesses(ctx context.Context, a study.Account, and string, args ...any) ([]Access, error) {
	rows, err := s.db.Query(ctx, `
		SELECT `+studyColumns+`,
			s.revision, CASE WHEN $2 THEN 'owner' ELSE m.role END, $2 OR m.every_shop, `+shopIDs+`
		FROM study s
		LEFT JOIN membership m ON m.study_id = s.study_id AND m.account_id = $1
		WHERE ($2 OR m.study_id IS NOT NULL) `+and+`
		ORDER BY s.code`, append([]any{a.ID, a.Steward}, args...)...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (x Access, err error) {
		m := &x.Membership
		err = row.Scan(append(studyFields(&x.Study), &x.Revision, &m.Role, &m.EveryShop, &m.ShopIDs)...)
		m.AccountID, m.StudyID = a.ID, x.Study.ID
		return x, err
	})
}

// PutMembership stores what an account may do in a study, in place of what it
// might before. It returns study.Problems if m is not valid.
func (s *Store) PutMembership(ctx context.Context, m study.Membership) error {
	err := m.Validate().OrNil()
	if err == nil {
		err = s.write(ctx, func(tx pgx.Tx) error { return putMembership(ctx, tx, m) })
	}
	if err != nil {
		return fmt.Errorf("store a membership: %w", explain(err))
	}
	return nil
}

func putMembership(ctx context.Context, tx pgx.Tx, m study.Membership) error {
	_, err := tx.Exec(ctx, `
		INSERT INTO membership (account_id, study_id, role, every_shop)
		VALUES ($1, $2, $3, $4)
		ON CONFLICT (account_id, study_id) DO UPDATE
		SET role = excluded.role, every_shop = excluded.every_shop`, m.AccountID, m.StudyID, string(m.Role), m.EveryShop)
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `
		DELETE FROM membership_shop
		WHERE account_id = $1 AND study_id = $2`, m.AccountID, m.StudyID)
	if err != nil {
		return err
	}
	for _, shop := range m.ShopIDs {
		_, err := tx.Exec(ctx, `
			INSERT INTO membership_shop (account_id, study_id, shop_id)
			VALUES ($1, $2, $3)`, m.AccountID, m.StudyID, shop)
		if err != nil {
			return err
		}
	}
	return nil
}

// EndMembership takes an account out of a study. It returns study.ErrNotFound
// if it wasn't in it.
func (s *Store) EndMembership(ctx context.Context, studyID, accountID study.ID) error {
	tag, err := s.db.Exec(ctx, `
		DELETE FROM membership
		WHERE study_id = $1 AND account_id = $2`, studyID, accountID)
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("end a membership: %w", err)
	}
	return nil
}
