package migrations_test

import (
	"fmt"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// wholeTables are kept whole on every machine when the others are spread by
// vehicle: https://docs.citusdata.com/en/v11.1/faq/faq.html
// says why: uniqueness is only checked within one machine.
const wholeTables = `('study', 'coating', 'site', 'person', 'vehicle_code', 'amendment',
	'shop', 'account', 'invitation', 'session', 'passkey', 'membership', 'membership_shop', 'api_token', 'share_link', 'study_change', 'letterhead', 'study_coating', 'study_shop', 'schema_version', 'schema_file')`

// TestSchemaCanBeSpread keeps the schema fit for a Postgres that is spread over
// machines by vehicle. Each query lists what breaks a rule.
func TestSchemaCanBeSpread(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.URL(t))
	const tables = `
		WITH t AS (
			SELECT oid, relname AS name, relname IN ` + wholeTables + ` AS whole,
				(SELECT attnum FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'vehicle_id') AS vehicle
			FROM pg_class c
			WHERE relkind IN ('r', 'p') AND relnamespace = 'public'::regnamespace
		) `
	for rule, breaches := range map[string]string{
		"a table is spread by vehicle or known to be whole": tables + `
			SELECT name FROM t WHERE NOT whole AND vehicle IS NULL`,
		"vehicle_id leads every primary and unique key": tables + `
			SELECT name || ': ' || i.indexrelid::regclass
			FROM t JOIN pg_index i ON i.indrelid = t.oid
			WHERE NOT whole AND i.indisunique AND i.indkey[0] IS DISTINCT FROM vehicle`,
		"every table has a primary key": tables + `
			SELECT name
			FROM t
			WHERE name <> 'schema_version'
				AND NOT EXISTS (SELECT FROM pg_index i WHERE i.indrelid = t.oid AND i.indisprimary)`,
		"vehicle_id leads every key from a spread table to a spread table": tables + `
			SELECT t.name || ': ' || c.conname
			FROM pg_constraint c JOIN t ON t.oid = c.conrelid JOIN t AS other ON other.oid = c.confrelid
			WHERE c.contype = 'f' AND NOT t.whole AND NOT other.whole
				AND (c.conkey[1] IS DISTINCT FROM t.vehicle OR c.confkey[1] IS DISTINCT FROM other.vehicle)`,
		"no key from a whole table to a spread table": tables + `
			SELECT t.name || ': ' || c.conname
			FROM pg_constraint c JOIN t ON t.oid = c.conrelid JOIN t AS other ON other.oid = c.confrelid
			WHERE c.contype = 'f' AND t.whole AND NOT other.whole`,
		"no triggers": tables + `
			SELECT name || ': ' || tgname FROM t JOIN pg_trigger ON tgrelid = t.oid WHERE NOT tgisinternal`,
		"no sequences": `
			SELECT relname FROM pg_class WHERE relkind = 'S'`,
		"every row says when it was recorded": tables + `
			SELECT name
			FROM t
			WHERE name NOT LIKE 'schema\_%' AND NOT EXISTS (
				SELECT
				FROM pg_attribute a
				WHERE a.attrelid = t.oid AND attname = 'recorded_at' AND atthasdef AND attnotnull
					AND atttypid = 'timestamptz'::regtype
			)`,
		"ids are uuids": tables + `
			SELECT name || ': ' || attname
			FROM t JOIN pg_attribute a ON a.attrelid = t.oid
			WHERE (attname LIKE '%\_id' OR attname = 'decided_by') AND atttypid <> 'uuid'::regtype`,
		"constraints are named by hand": tables + `
			SELECT name || ': ' || conname
			FROM t JOIN pg_constraint c ON c.conrelid = t.oid
			WHERE name <> 'schema_version' AND (conname ~ '_(pkey|check|fkey)[0-9]*$' OR conname NOT LIKE name || '\_%')`,
	} {
		rows, err := conn.Query(t.Context(), breaches)
		require.NoError(t, err, rule)
		found, err := pgx.CollectRows(rows, pgx.RowTo[string])
		require.NoError(t, err, rule)
		assert.Empty(t, found, rule)
	}
}

// The rules above must be about something.
func TestSchemaHasSpreadTables(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.URL(t))
	var spread int
	err := conn.QueryRow(t.Context(), fmt.Sprintf(`
		SELECT count(*)
		FROM pg_class
		WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname NOT IN %s`, wholeTables)).Scan(&spread)
	require.NoError(t, err)
	assert.Equal(t, 7, spread, "vehicle, patch, checkup, reading, care, letter, photo")
}
