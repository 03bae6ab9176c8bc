package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// difference is one record of which a load says otherwise than what is stored.
type difference struct {
	key           [len(recordKeys)]any
	label         string
	before, after json.RawMessage
	// known: the same was proposed before, and is waiting or declined.
	known bool
}

// recordKeys are the columns by which an amendment names its record.
var recordKeys = [...]string{"coating_id", "site_id", "vehicle_id", "patch_id", "checkup_id", "care_id", "stage"}

// propose stores an amendment for each staged record that differs from the
// stored one, unless the same was proposed before.
func (t table) propose(ctx context.Context, tx pgx.Tx, blanksCorrect bool) (proposed, before int, err error) {
	differences, err := t.differences(ctx, tx, blanksCorrect)
	if err != nil {
		return 0, 0, err
	}
	var rows [][]any
	for _, d := range differences {
		if d.known {
			before++
			continue
		}
		rows = append(rows, slices.Concat([]any{study.NewID(), t.name, d.label, d.before, d.after}, d.key[:]))
	}
	columns := slices.Concat([]string{"amendment_id", "record", "label", "before", "after"}, recordKeys[:])
	_, err = tx.CopyFrom(ctx, pgx.Identifier{"amendment"}, columns, pgx.CopyFromRows(rows))
	return len(rows), before, err
}

// differences compares the staged records with the stored ones. Equal rows are
// passed over before anything is put into JSON, since nearly all are equal.
func (t table) differences(ctx context.Context, tx pgx.Tx, blanksCorrect bool) ([]difference, error) {
	said, stored := t.said(blanksCorrect), prefixed("t.", t.content)
	rows, err := tx.Query(ctx, fmt.Sprintf(`
		SELECT %[2]s, %[3]s, d.before, d.after, EXISTS (
			SELECT
			FROM amendment a
			WHERE a.record = '%[1]s' AND %[4]s
				AND a.before = d.before AND a.after = d.after
				AND a.state <> 'accepted'
		)
		FROM stage_%[1]s s
		JOIN %[1]s t ON %[5]s
		%[6]s
		CROSS JOIN LATERAL (SELECT %[10]s AS before, %[11]s AS after) d
		WHERE (%[7]s) IS DISTINCT FROM (%[8]s)
		ORDER BY %[9]s`,
		t.name, t.recordKey(), t.label, equal("a.", "t.", t.key), equal("s.", "t.", t.key), t.joins,
		strings.Join(said, ", "), strings.Join(stored, ", "), list("t.", t.key),
		t.changed(said, stored, stored), t.changed(said, stored, said)))
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (d difference, err error) {
		into := make([]any, 0, len(d.key)+4)
		for i := range d.key {
			into = append(into, &d.key[i])
		}
		err = row.Scan(append(into, &d.label, &d.before, &d.after, &d.known)...)
		return d, err
	})
}

// said is what a load says of each content column: the staged value or, where
// that is blank and blanks say nothing, the stored one.
func (t table) said(blanksCorrect bool) []string {
	terms := prefixed("s.", t.content)
	if blanksCorrect {
		return terms
	}
	for i, column := range t.content {
		if blank, has := t.blank[column]; has {
			terms[i] = fmt.Sprintf("nullif(%s, %s)", terms[i], blank)
		}
		terms[i] = fmt.Sprintf("coalesce(%s, t.%s)", terms[i], column)
	}
	return terms
}

// changed puts those columns of a table into JSON in which said and stored
// differ; values are the ones of either. Joining the two as sets of JSON values
// would say it shorter, and take ten times as long.
func (t table) changed(said, stored, values []string) string {
	terms := make([]string, len(t.content))
	for i, column := range t.content {
		terms[i] = fmt.Sprintf(`CASE WHEN %s IS DISTINCT FROM %s THEN jsonb_build_object('%s', %s) ELSE '{}' END`,
			said[i], stored[i], column, values[i])
	}
	return strings.Join(terms, " || ")
}

// recordKey selects the columns by which an amendment names a record of t,
// NULL where they aren't part of its key.
func (t table) recordKey() string {
	terms := make([]string, len(recordKeys))
	for i, column := range recordKeys {
		switch {
		case slices.Contains(t.key, column):
			terms[i] = "t." + column
		case column == "stage":
			terms[i] = "NULL::text"
		default:
			terms[i] = "NULL::uuid"
		}
	}
	return strings.Join(terms, ", ")
}
