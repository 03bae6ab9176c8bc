package migrations_test

import (
	"context"
	"fmt"
	"maps"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/migrations"
	"beadspan/study/store/storetest"
)

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(context.WithoutCancel(t.Context())) })
	return conn
}

// version reads how far a database has come.
func version(t *testing.T, conn *pgx.Conn) (version int) {
	t.Helper()
	require.NoError(t, conn.QueryRow(t.Context(), `SELECT version FROM schema_version`).Scan(&version))
	return version
}

func TestApply(t *testing.T) {
	t.Parallel()
	url := storetest.Bare(t)
	require.NoError(t, migrations.Apply(t.Context(), url))
	conn := connect(t, url)
	assert.Equal(t, migrations.Version(), version(t, conn))

	require.NoError(t, migrations.Apply(t.Context(), url), "a second time there is nothing to do")
	assert.Equal(t, migrations.Version(), version(t, conn))
}

func TestApplyTo(t *testing.T) {
	t.Parallel()
	url := storetest.Bare(t)
	require.NoError(t, migrations.ApplyTo(t.Context(), url, 2))
	conn := connect(t, url)
	assert.Equal(t, 2, version(t, conn))

	require.Error(t, migrations.ApplyTo(t.Context(), url, 1), "it never goes back")
	assert.Equal(t, 2, version(t, conn))

	require.NoError(t, migrations.Apply(t.Context(), url))
	assert.Equal(t, migrations.Version(), version(t, conn))
}

// Programs that start at once must all find the whole schema.
func TestApplyRacing(t *testing.T) {
	t.Parallel()
	url := storetest.Bare(t)
	errs := make([]error, 6)
	var running sync.WaitGroup
	for i := range errs {
		running.Go(func() { errs[i] = migrations.Apply(t.Context(), url) })
	}
	running.Wait()
	for _, err := range errs {
		assert.NoError(t, err)
	}
	assert.Equal(t, migrations.Version(), version(t, connect(t, url)))
}

func files(contents ...string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for i, sql := range contents {
		fsys[fmt.Sprintf("%04d_step.sql", i+1)] = &fstest.MapFile{Data: []byte(sql)}
	}
	return fsys
}

func TestApplyRefusesEditedFile(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.Bare(t))
	steps := files(`CREATE TABLE a ()`, `CREATE TABLE b ()`)
	require.NoError(t, migrations.ApplyFiles(t.Context(), conn, steps, 2))

	edited := maps.Clone(steps)
	edited["0001_step.sql"] = &fstest.MapFile{Data: []byte(`CREATE TABLE a () -- one word more`)}
	err := migrations.ApplyFiles(t.Context(), conn, edited, 2)
	var wrong *migrations.EditedError
	require.ErrorAs(t, err, &wrong)
	assert.Equal(t, "0001_step.sql", wrong.File)
}

func TestApplyRefusesNewerDatabase(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.Bare(t))
	require.NoError(t, migrations.ApplyFiles(t.Context(), conn, files(`CREATE TABLE a ()`, `CREATE TABLE b ()`), 2))

	err := migrations.ApplyFiles(t.Context(), conn, files(`CREATE TABLE a ()`), 1)
	require.ErrorIs(t, err, migrations.ErrNewer)
}

// A step that fails leaves the steps before it, and nothing of itself.
func TestApplyFailingStep(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.Bare(t))
	err := migrations.ApplyFiles(t.Context(), conn,
		files(`CREATE TABLE a ()`, `CREATE TABLE b (); SELECT wrong`, `CREATE TABLE c ()`), 3)
	require.ErrorContains(t, err, "0002_step.sql, at character 27")
	assert.Equal(t, 1, version(t, conn))
	var a, b bool
	require.NoError(t, conn.QueryRow(t.Context(),
		`SELECT to_regclass('a') IS NOT NULL, to_regclass('b') IS NOT NULL`).Scan(&a, &b))
	assert.True(t, a)
	assert.False(t, b)

	// The file was never applied, so it may be put right.
	require.NoError(t, migrations.ApplyFiles(t.Context(), conn,
		files(`CREATE TABLE a ()`, `CREATE TABLE b ()`, `CREATE TABLE c ()`), 3))
	assert.Equal(t, 3, version(t, conn))
}

func TestApplyRefusesOtherEncodings(t *testing.T) {
	t.Parallel()
	conn := connect(t, storetest.Bare(t))
	name := conn.Config().Database + "_latin"
	_, err := conn.Exec(t.Context(), `CREATE DATABASE `+name+` ENCODING 'LATIN1' LC_COLLATE 'C' LC_CTYPE 'C' TEMPLATE template0`)
	require.NoError(t, err)
	defer func() {
		_, err := conn.Exec(t.Context(), `DROP DATABASE `+name+` WITH (FORCE)`)
		assert.NoError(t, err)
	}()
	config := conn.Config().Copy()
	config.Database = name
	latin, err := pgx.ConnectConfig(t.Context(), config)
	require.NoError(t, err)
	defer latin.Close(t.Context())
	require.ErrorContains(t, migrations.ApplyFiles(t.Context(), latin, files(`CREATE TABLE a ()`), 1), "UTF8")
}
