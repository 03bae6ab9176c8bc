package store

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// table is one table that a load fills. Its columns are named once, here, and
// the statements that must agree on them are put together from these names;
// no value ever becomes part of a statement.
type table struct {
	name string
	// key is the primary key. An amendment names its record by the same columns.
	key []string
	// natural tells records apart for people. It is never amended: under
	// another natural key it is another record.
	natural []string
	// content is the rest: what an amendment may change.
	content []string
	// blank is what stands in a content column, as SQL, for "not known" where
	// that isn't NULL.
	blank map[string]string

	// label is the SQL of the record's name in words; t is the table itself
	// and joins brings the others.
	label, joins string

	// rows lists a fleet's records: the values of key, natural and content.
	rows func(study.ID, study.Fleet) iter.Seq[[]any]
	// count is where the records are counted; nil where they are counted
	// under another table.
	count func(*study.Size) *int
}

// loadOrder lists the tables such that each comes after those it refers to.
func loadOrder() []table {
	return []table{
		personTable, shopTable, coatingTable, siteTable,
		vehicleCodeTable, vehicleTable, patchTable, checkupTable, readingTable, careTable,
	}
}

func (t table) columns() []string { return slices.Concat(t.key, t.natural, t.content) }

// stage copies a fleet's records into a temporary table beside t. It calls
// copied for each.
func (t table) stage(ctx context.Context, tx pgx.Tx, studyID study.ID, f study.Fleet, copied func()) error {
	_, err := tx.Exec(ctx, fmt.Sprintf(`
		CREATE TEMPORARY TABLE stage_%[1]s ON COMMIT DROP AS
		SELECT %[2]s
		FROM %[1]s
		WITH NO DATA`, t.name, list("", t.columns())))
	if err != nil {
		return err
	}
	next, stop := iter.Pull(t.rows(studyID, f))
	defer stop()
	source := pgx.CopyFromFunc(func() ([]any, error) {
		row, ok := next()
		if ok {
			copied()
		}
		return row, nil // a nil row ends the copy
	})
	_, err = tx.CopyFrom(ctx, pgx.Identifier{"stage_" + t.name}, t.columns(), source)
	return err
}

// insert adds those staged records whose key isn't stored, and counts them.
// A record whose key is new and whose natural key isn't is an error: somebody
// else stored it after this load looked for it.
func (t table) insert(ctx context.Context, tx pgx.Tx) (added int, err error) {
	tag, err := tx.Exec(ctx, fmt.Sprintf(`
		INSERT INTO %[1]s (%[2]s)
		SELECT %[2]s
		FROM stage_%[1]s
		ON CONFLICT (%[3]s) DO NOTHING`, t.name, list("", t.columns()), list("", t.key)))
	return int(tag.RowsAffected()), err
}

// list joins column names, each with the prefix.
func list(prefix string, columns []string) string {
	return strings.Join(prefixed(prefix, columns), ", ")
}

func prefixed(prefix string, columns []string) []string {
	terms := make([]string, len(columns))
	for i, c := range columns {
		terms[i] = prefix + c
	}
	return terms
}

// equal compares the columns of two tables.
func equal(a, b string, columns []string) string {
	terms := make([]string, len(columns))
	for i, c := range columns {
		terms[i] = a + c + " = " + b + c
	}
	return strings.Join(terms, " AND ")
}
