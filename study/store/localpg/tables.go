package localpg

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
)

// table is one table of an archive.
type table struct {
	Schema  string   `json:"schema"`
	Name    string   `json:"name"`
	Columns []string `json:"columns"` // those that hold data, not the generated ones
	Types   []string `json:"types"`   // of Columns, as SQL writes them
	Rows    int64    `json:"rows" db:"-"`
	Key     string   `json:"-"` // tells tables apart, in the server's own writing
}

func (t table) quoted() string { return pgx.Identifier{t.Schema, t.Name}.Sanitize() }

// target is the table with its columns, as COPY wants them.
func (t table) target() string {
	columns := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		columns[i] = pgx.Identifier{c}.Sanitize()
	}
	return t.quoted() + " (" + strings.Join(columns, ", ") + ")"
}

// entry is the table's name within the archive, its own for each table. A table
// may be called anything, but a slash or a point would mean something here, so
// they are escaped.
func (t table) entry() string {
	escape := strings.NewReplacer("%", "%25", "/", "%2F", `\`, "%5C", ".", "%2E")
	return "tables/" + escape.Replace(t.Schema) + "." + escape.Replace(t.Name) + ".copy"
}

// sequence is one sequence of an archive.
type sequence struct {
	Schema    string `json:"schema"`
	Name      string `json:"name"`
	LastValue int64  `json:"last_value"`
	IsCalled  bool   `json:"is_called"`
}

// tables lists the ordinary tables that are not the system's own.
func tables(ctx context.Context, tx pgx.Tx) ([]table, error) {
	rows, err := tx.Query(ctx, `
		SELECT n.nspname AS schema, c.relname AS name, format('%I.%I', n.nspname, c.relname) AS key,
			array_agg(a.attname::text ORDER BY a.attnum) AS columns,
			array_agg(format_type(a.atttypid, a.atttypmod) ORDER BY a.attnum) AS types
		FROM pg_class c
		JOIN pg_namespace n ON n.oid = c.relnamespace
		JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = ''
		WHERE c.relkind = 'r' AND n.nspname !~ '^pg_' AND n.nspname <> 'information_schema'
		GROUP BY n.nspname, c.relname
		ORDER BY n.nspname, c.relname`)
	if err != nil {
		return nil, fmt.Errorf("list tables: %w", err)
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByName[table])
	if err != nil {
		return nil, fmt.Errorf("list tables: %w", err)
	}
	return found, nil
}

// sequences lists the sequences and where each stands.
func sequences(ctx context.Context, tx pgx.Tx) ([]sequence, error) {
	rows, err := tx.Query(ctx, `
		SELECT schemaname AS schema, sequencename AS name,
			coalesce(last_value, start_value) AS last_value, last_value IS NOT NULL AS is_called
		FROM pg_sequences
		ORDER BY schemaname, sequencename`)
	if err != nil {
		return nil, fmt.Errorf("list sequences: %w", err)
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByName[sequence])
	if err != nil {
		return nil, fmt.Errorf("list sequences: %w", err)
	}
	return found, nil
}

// refuseUnarchivable stops where an archive would lose something.
func refuseUnarchivable(ctx context.Context, tx pgx.Tx) error {
	var names []string
	err := tx.QueryRow(ctx, `
		SELECT coalesce(array_agg(c.relname::text ORDER BY c.relname), '{}')
		FROM pg_class c
		JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE c.relkind IN ('p', 'm', 'f') AND n.nspname !~ '^pg_' AND n.nspname <> 'information_schema'`).Scan(&names)
	if err != nil {
		return fmt.Errorf("list tables: %w", err)
	}
	if len(names) > 0 {
		return fmt.Errorf("without pg_dump, tables that are partitioned, foreign or materialised views "+
			"cannot be kept (%s): install PostgreSQL's client programs", strings.Join(names, ", "))
	}
	return nil
}

// sameTables checks that an archive's tables are those of the database.
func sameTables(archived, present []table) error {
	for _, t := range archived {
		i := slices.IndexFunc(present, func(p table) bool { return p.Schema == t.Schema && p.Name == t.Name })
		if i < 0 {
			return fmt.Errorf("the backup has a table %s, which the schema of its version lacks", t.quoted())
		}
		if !slices.Equal(t.Columns, present[i].Columns) || !slices.Equal(t.Types, present[i].Types) {
			return fmt.Errorf("table %s has other columns in the backup than in the schema of its version", t.quoted())
		}
	}
	if len(present) != len(archived) {
		return fmt.Errorf("the backup has %d tables, the schema of its version %d", len(archived), len(present))
	}
	return nil
}

// inLoadingOrder sorts tables so that each comes after all that its foreign
// keys point at, and otherwise as they came. Keys in a circle are an error.
func inLoadingOrder(ctx context.Context, tx pgx.Tx, all []table) ([]table, error) {
	targets, err := foreignKeys(ctx, tx)
	if err != nil {
		return nil, err
	}
	var sorted []table
	placed := map[string]bool{}
	ready := func(t table) bool {
		return !slices.ContainsFunc(targets[t.Key], func(target string) bool { return !placed[target] })
	}
	// Each round places one table, so there are as many rounds as tables.
	for left := slices.Clone(all); len(left) > 0; {
		i := slices.IndexFunc(left, ready)
		if i < 0 {
			return nil, fmt.Errorf("without pg_dump, tables whose foreign keys go in a circle cannot be kept "+
				"(one is %s): install PostgreSQL's client programs", left[0].quoted())
		}
		placed[left[i].Key] = true
		sorted = append(sorted, left[i])
		left = slices.Delete(left, i, i+1)
	}
	return sorted, nil
}

// foreignKeys maps the key of each table to the keys of other tables that its
// foreign keys point at.
func foreignKeys(ctx context.Context, tx pgx.Tx) (map[string][]string, error) {
	rows, err := tx.Query(ctx, `
		SELECT DISTINCT format('%I.%I', fn.nspname, f.relname), format('%I.%I', tn.nspname, t.relname)
		FROM pg_constraint k
		JOIN pg_class f ON f.oid = k.conrelid
		JOIN pg_namespace fn ON fn.oid = f.relnamespace
		JOIN pg_class t ON t.oid = k.confrelid
		JOIN pg_namespace tn ON tn.oid = t.relnamespace
		WHERE k.contype = 'f' AND k.conrelid <> k.confrelid`)
	if err != nil {
		return nil, fmt.Errorf("list foreign keys: %w", err)
	}
	targets := map[string][]string{}
	var from, to string
	_, err = pgx.ForEachRow(rows, []any{&from, &to}, func() error {
		targets[from] = append(targets[from], to)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("list foreign keys: %w", err)
	}
	return targets, nil
}
