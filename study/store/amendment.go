package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Amendments lists the amendments of a study's vehicles, and those of coatings
// and sites, which all studies share; the oldest first. An empty state lists
// all.
func (s *Store) Amendments(ctx context.Context, studyID study.ID, state study.AmendmentState) ([]study.Amendment, error) {
	var list []study.Amendment
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		list, err = amendments(ctx, tx, `(v.study_id = $1 OR a.vehicle_id IS NULL) AND (a.state = $2 OR $2 = '')`+oldestFirst, studyID, string(state))
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list amendments: %w", err)
	}
	return list, nil
}

// oldestFirst is the order in which amendments were proposed.
const oldestFirst = `
		ORDER BY a.recorded_at, a.amendment_id`

// amendments lists those for which the condition holds on a, an amendment, v,
// its vehicle's code, and t, its vehicle. The condition ends with the order.
func amendments(ctx context.Context, tx pgx.Tx, where string, args ...any) ([]study.Amendment, error) {
	codes, err := codesByID(ctx, tx)
	if err != nil {
		return nil, err
	}
	rows, err := tx.Query(ctx, `
		SELECT a.amendment_id, a.vehicle_id, a.label, a.before, a.after, a.state, a.recorded_at,
			coalesce(p.code, ''), a.decided_at, a.decided_why
		FROM amendment a
		LEFT JOIN vehicle_code v USING (vehicle_id)
		LEFT JOIN vehicle t USING (vehicle_id)
		LEFT JOIN person p ON p.person_id = a.decided_by
		WHERE `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (a study.Amendment, err error) {
		var before, after map[string]json.RawMessage
		err = row.Scan(&a.ID, &a.VehicleID, &a.Record, &before, &after, &a.State, &a.ProposedAt,
			&a.DecidedBy, &a.DecidedAt, &a.DecidedWhy)
		a.Changes = changes(before, after, codes)
		return a, err
	})
}

// Accept makes a proposed amendment part of its record. by is the code of the
// person who decides. The amendment keeps what the record said before.
//
// It returns study.ErrNotFound, study.ErrDecided, a *study.ConflictError when
// the record no longer says what it said when the amendment was proposed, or
// study.Problems when by isn't a code or the record must not say this.
func (s *Store) Accept(ctx context.Context, amendmentID study.ID, by, why string) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		record, err := decide(ctx, tx, amendmentID, study.Accepted, by, why)
		if err != nil {
			return err
		}
		if err := record.amend(ctx, tx, amendmentID); err != nil {
			return err
		}
		return reviseAmended(ctx, tx, amendmentID)
	})
	if err != nil {
		return fmt.Errorf("accept amendment %s: %w", amendmentID, explain(err))
	}
	return nil
}

// Decline sets a proposed amendment aside; the same change isn't proposed
// again. It returns study.ErrNotFound, study.ErrDecided, or study.Problems when
// by isn't a code.
func (s *Store) Decline(ctx context.Context, amendmentID study.ID, by, why string) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		_, err := decide(ctx, tx, amendmentID, study.Declined, by, why)
		return err
	})
	if err != nil {
		return fmt.Errorf("decline amendment %s: %w", amendmentID, explain(err))
	}
	return nil
}

// decide notes who decided, and returns the table of the record.
func decide(ctx context.Context, tx pgx.Tx, amendmentID study.ID, state study.AmendmentState, by, why string) (table, error) {
	person, err := ensurePerson(ctx, tx, by)
	if err != nil {
		return table{}, err
	}
	var record string
	err = tx.QueryRow(ctx, `
		UPDATE amendment
		SET state = $2, decided_by = $3, decided_at = now(), decided_why = $4
		WHERE amendment_id = $1 AND state = 'proposed'
		RETURNING record`, amendmentID, string(state), person, why).Scan(&record)
	if errors.Is(err, pgx.ErrNoRows) {
		var exists bool
		err = tx.QueryRow(ctx, `
			SELECT EXISTS (SELECT FROM amendment WHERE amendment_id = $1)`, amendmentID).Scan(&exists)
		if err == nil && exists {
			return table{}, study.ErrDecided
		}
		if err == nil {
			return table{}, study.ErrNotFound
		}
	}
	if err != nil {
		return table{}, err
	}
	i := slices.IndexFunc(loadOrder(), func(t table) bool { return t.name == record })
	return loadOrder()[i], nil // the schema allows no other record
}

// amend writes the amendment into its record, if that still says what the
// amendment knew.
func (t table) amend(ctx context.Context, tx pgx.Tx, amendmentID study.ID) error {
	tag, err := tx.Exec(ctx, fmt.Sprintf(`
		UPDATE %[1]s t
		SET (%[2]s) = (
			SELECT %[3]s
			FROM jsonb_populate_record(t, a.after) n
		)
		FROM amendment a
		WHERE a.amendment_id = $1 AND %[4]s
			AND a.before = (
				SELECT jsonb_object_agg(key, value)
				FROM jsonb_each(to_jsonb(t))
				WHERE a.before ? key
			)`,
		t.name, list("", t.content), list("n.", t.content), equal("t.", "a.", t.key)), amendmentID)
	if err != nil {
		return err
	}
	if tag.RowsAffected() == 0 {
		return t.conflict(ctx, tx, amendmentID)
	}
	return nil
}

// conflict says how the record differs from what the amendment knew.
func (t table) conflict(ctx context.Context, tx pgx.Tx, amendmentID study.ID) error {
	var label string
	var before, now map[string]json.RawMessage
	err := tx.QueryRow(ctx, fmt.Sprintf(`
		SELECT a.label, a.before, to_jsonb(t)
		FROM amendment a
		JOIN %[1]s t ON %[2]s
		WHERE a.amendment_id = $1`, t.name, equal("t.", "a.", t.key)), amendmentID).Scan(&label, &before, &now)
	if err != nil {
		return orNotFound(err)
	}
	codes, err := codesByID(ctx, tx)
	if err != nil {
		return err
	}
	changed := slices.DeleteFunc(changes(before, now, codes), func(c study.Change) bool { return c.Before == c.After })
	return &study.ConflictError{Record: label, Changed: changed}
}

// changes pairs the values of before with those of after.
func changes(before, after map[string]json.RawMessage, codes map[string]string) []study.Change {
	var list []study.Change
	for _, field := range slices.Sorted(maps.Keys(before)) {
		old, new := inWords(before[field]), inWords(after[field])
		if name, isID := strings.CutSuffix(field, "_id"); isID {
			field, old, new = name, codes[old], codes[new]
		}
		list = append(list, study.Change{Field: field, Before: old, After: new})
	}
	return list
}

// inWords writes a JSON value as a person would.
func inWords(value json.RawMessage) string {
	var text *string
	if json.Unmarshal(value, &text) != nil {
		return string(value) // a number, a list or a truth value
	}
	if text == nil {
		return ""
	}
	return *text
}

// codesByID finds the codes of all that a changed field may name.
func codesByID(ctx context.Context, tx pgx.Tx) (map[string]string, error) {
	rows, err := tx.Query(ctx, `
		SELECT coating_id::text, code FROM coating
		UNION ALL
		SELECT site_id::text, code FROM site
		UNION ALL
		SELECT shop_id::text, code FROM shop
		UNION ALL
		SELECT person_id::text, code FROM person`)
	if err != nil {
		return nil, err
	}
	codes := map[string]string{}
	var id, code string
	_, err = pgx.ForEachRow(rows, []any{&id, &code}, func() error {
		codes[id] = code
		return nil
	})
	return codes, err
}
