package localpg

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sampleSchema has what COPY and the order of loading could trip over: keys
// between tables whose names sort the wrong way round, a key to the table
// itself, arrays of an own type, a generated column, an identity, odd names.
const sampleSchema = `
	CREATE TABLE schema_version (version int NOT NULL);
	INSERT INTO schema_version VALUES (3);
	CREATE TYPE mood AS ENUM ('well', 'unwell');
	CREATE TABLE z_site (code text PRIMARY KEY);
	CREATE TABLE m_vehicle (
		id int GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
		site text NOT NULL REFERENCES z_site,
		towed_by int REFERENCES m_vehicle);
	CREATE TABLE "a/odd ""name""" (
		vehicle int NOT NULL REFERENCES m_vehicle,
		angle double precision, twice double precision GENERATED ALWAYS AS (angle * 2) STORED,
		note text, raw bytea, moods mood[], read_at timestamptz);
	CREATE SEQUENCE untouched START 40;
	INSERT INTO z_site VALUES ('made by migration');`

const sampleRows = `
	TRUNCATE z_site CASCADE;
	INSERT INTO z_site VALUES ('north'), ('south');
	INSERT INTO m_vehicle (site, towed_by) VALUES ('north', 2), ('south', NULL), ('south', 1);
	INSERT INTO "a/odd ""name""" (vehicle, angle, note, raw, moods, read_at) VALUES
		(1, 0.1::float8 + 0.2::float8, E'tab\t newline\n back\\slash', '\x00ff0a'::bytea, '{well,unwell}', '2024-02-29 23:59:59.123456+02'),
		(2, 'NaN', '\N', NULL, '{}', 'infinity'),
		(3, '-Infinity', '\.', '', NULL, NULL),
		(3, 5e-324, 'Größe θ 水', NULL, NULL, NULL);`

// fingerprint is every row of the sample as the server writes it.
const fingerprint = `
	SELECT concat_ws('#',
		(SELECT string_agg(t::text, ';' ORDER BY t::text) FROM schema_version t),
		(SELECT string_agg(t::text, ';' ORDER BY t::text) FROM z_site t),
		(SELECT string_agg(t::text, ';' ORDER BY t::text) FROM m_vehicle t),
		(SELECT string_agg(t::text, ';' ORDER BY t::text) FROM "a/odd ""name""" t))`

// sample is the schema as a caller would make it.
func sample() Schema {
	return Schema{
		VersionTable: "public.schema_version",
		Migrate: func(ctx context.Context, url string, version int32) error {
			if version != 3 {
				return fmt.Errorf("asked for schema %d", version)
			}
			return execAt(ctx, url, sampleSchema)
		},
	}
}

func execAt(ctx context.Context, url, sql string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, sql)
	return err
}

// withSample puts the sample into the server as database "log", anew.
func withSample(t *testing.T, s *Server) *Server {
	t.Helper()
	require.NoError(t, s.createAnew(limited(t), "log"))
	require.NoError(t, execAt(limited(t), s.URL("log"), sampleSchema+sampleRows))
	return s
}

// serverOnly is a directory of the server programs alone, as Fetch brings them.
func serverOnly(t *testing.T) string {
	t.Helper()
	found, err := Find(limited(t), t.TempDir(), os.Getenv("BEADSPAN_PG_BIN"))
	require.NoError(t, err)
	dir := filepath.Join(newBase(t), "bin")
	require.NoError(t, os.Mkdir(dir, 0o755))
	for _, name := range []string{"postgres", "initdb", "pg_ctl"} {
		require.NoError(t, os.Symlink(found[0].path(name), filepath.Join(dir, name)))
	}
	return dir
}

func TestBackupByDump(t *testing.T) {
	s, stop, err := Temporary(limited(t))
	require.NoError(t, err)
	defer stop()
	if !s.programs.has("pg_dump") || !s.programs.has("pg_restore") {
		t.Skip("this machine's server programs come without pg_dump and pg_restore")
	}
	testBothWays(t, s)
	t.Run("IsReadByPgRestore", func(t *testing.T) { testDumpIsReadByPgRestore(t, withSample(t, s)) })
}

func TestBackupByArchive(t *testing.T) {
	s, stop, err := temporary(limited(t), Options{BinDir: serverOnly(t)})
	require.NoError(t, err)
	defer stop()
	testBothWays(t, s)
	t.Run("RefusesWhatItWouldLose", func(t *testing.T) { testArchiveRefusesWhatItWouldLose(t, withSample(t, s)) })
	t.Run("NeedsTheSchemaOfItsVersion", func(t *testing.T) { testArchiveNeedsItsSchema(t, withSample(t, s)) })
	t.Run("DumpWithoutPgRestore", func(t *testing.T) { testDumpWithoutPgRestore(t, withSample(t, s)) })
}

func testBothWays(t *testing.T, s *Server) {
	t.Run("BackupAndRestore", func(t *testing.T) { testBackupAndRestore(t, withSample(t, s)) })
	t.Run("RestoreWhereNothingIs", func(t *testing.T) { testRestoreWhereNothingIs(t, withSample(t, s)) })
	t.Run("FailedRestoreChangesNothing", func(t *testing.T) { testFailedRestore(t, withSample(t, s)) })
	t.Run("NeverOverwrites", func(t *testing.T) { testBackupNeverOverwrites(t, withSample(t, s)) })
}

func testBackupAndRestore(t *testing.T, s *Server) {
	file := filepath.Join(t.TempDir(), "log.backup")
	was := ask(t, s, "log", fingerprint)
	require.NoError(t, s.Backup(limited(t), "log", file, sample()))
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "it holds customers' data")

	mustExec(t, s, "log", `UPDATE m_vehicle SET site = 'north'; INSERT INTO z_site VALUES ('later')`)
	later := ask(t, s, "log", fingerprint)
	require.NotEqual(t, was, later)
	mustConnect(t, s, "log") // a client that stays connected must not stop it

	kept, err := s.Restore(limited(t), "log", file, sample())
	require.NoError(t, err)
	assert.Equal(t, was, ask(t, s, "log", fingerprint))
	assert.Regexp(t, `^log_before_\d{8}_\d{6}$`, kept)
	assert.Equal(t, later, ask(t, s, kept, fingerprint), "what was replaced is kept")
	assert.Equal(t, "4", ask(t, s, "log", `INSERT INTO m_vehicle (site) VALUES ('north') RETURNING id::text`),
		"the identity goes on where it was")
	assert.Equal(t, "40", ask(t, s, "log", `SELECT nextval('untouched')::text`))
}

func testRestoreWhereNothingIs(t *testing.T, s *Server) {
	file := filepath.Join(t.TempDir(), "log.backup")
	was := ask(t, s, "log", fingerprint)
	require.NoError(t, s.Backup(limited(t), "log", file, sample()))
	kept, err := s.Restore(limited(t), "copy", file, sample())
	require.NoError(t, err)
	assert.Empty(t, kept)
	assert.Equal(t, was, ask(t, s, "copy", fingerprint))
}

func testFailedRestore(t *testing.T, s *Server) {
	// Enough rows that a cut or a flipped bit in the middle hits data.
	mustExec(t, s, "log", `INSERT INTO z_site SELECT md5(n::text) FROM generate_series(1, 5000) n`)
	file := filepath.Join(t.TempDir(), "log.backup")
	require.NoError(t, s.Backup(limited(t), "log", file, sample()))
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	was, databases := ask(t, s, "log", fingerprint), ask(t, s, "postgres", countDatabases)

	flipped := bytes.Clone(whole)
	for i := len(whole) / 3; i < len(whole)/3+64; i++ {
		flipped[i] ^= 0xff
	}
	for name, content := range map[string][]byte{
		"cut short": whole[:len(whole)/2], "damaged": flipped, "of another kind": []byte("vehicle;date;angle\n"), "empty": nil,
	} {
		bad := filepath.Join(t.TempDir(), "bad.backup")
		require.NoError(t, os.WriteFile(bad, content, 0o600))
		_, err := s.Restore(limited(t), "log", bad, sample())
		require.ErrorContains(t, err, bad, name)
		assert.NotContains(t, err.Error(), "\n", "errors are one line")
		assert.Equal(t, was, ask(t, s, "log", fingerprint), name)
		assert.Equal(t, databases, ask(t, s, "postgres", countDatabases), "%s: no half-made database is left", name)
	}
	_, err = s.Restore(limited(t), "log", filepath.Join(t.TempDir(), "absent"), sample())
	assert.ErrorIs(t, err, os.ErrNotExist)
}

const countDatabases = "SELECT count(*)::text FROM pg_database"

func testBackupNeverOverwrites(t *testing.T, s *Server) {
	dir := t.TempDir()
	file := filepath.Join(dir, "log.backup")
	require.NoError(t, os.WriteFile(file, []byte("precious"), 0o600))
	err := s.Backup(limited(t), "log", file, sample())
	require.ErrorIs(t, err, os.ErrExist)
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "precious", string(content))

	err = s.Backup(limited(t), "no such database", filepath.Join(dir, "other"), sample())
	require.ErrorContains(t, err, `"no such database" does not exist`) // the server's words
	assert.Len(t, glob(t, filepath.Join(dir, "*")), 1, "a failed backup leaves no file")
	assert.Empty(t, glob(t, filepath.Join(dir, ".beadspan-*")))
}

// Another run may take the name while the backup is being written.
func TestMoveNewDoesNotOverwrite(t *testing.T) {
	dir := t.TempDir()
	part, file := filepath.Join(dir, "part"), filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(part, nil, 0o600))
	require.NoError(t, os.WriteFile(file, []byte("precious"), 0o600))
	require.ErrorIs(t, moveNew(part, file), os.ErrExist)
}

// pg_restore is the outside check that a dump is what its name says.
func testDumpIsReadByPgRestore(t *testing.T, s *Server) {
	file := filepath.Join(t.TempDir(), "log.backup")
	require.NoError(t, s.Backup(limited(t), "log", file, Schema{}))
	listing, err := exec.Command(s.programs.path("pg_restore"), "--list", file).CombinedOutput()
	require.NoError(t, err, string(listing))
	assert.Contains(t, string(listing), "TABLE DATA public m_vehicle")
}

func testArchiveRefusesWhatItWouldLose(t *testing.T, s *Server) {
	for name, c := range map[string]struct{ make, undo, want string }{
		"partitions": {"CREATE TABLE parted (n int) PARTITION BY RANGE (n)", "DROP TABLE parted", "parted"},
		"circle": {"CREATE TABLE egg (id int PRIMARY KEY); CREATE TABLE hen (id int PRIMARY KEY REFERENCES egg);" +
			"ALTER TABLE egg ADD FOREIGN KEY (id) REFERENCES hen", "DROP TABLE egg, hen CASCADE", "circle"},
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, execAt(limited(t), s.URL("log"), c.make))
			err := s.Backup(limited(t), "log", filepath.Join(t.TempDir(), "file"), sample())
			assert.ErrorContains(t, err, c.want)
			assert.ErrorContains(t, err, "client programs")
			require.NoError(t, execAt(limited(t), s.URL("log"), c.undo))
		})
	}
	err := s.Backup(limited(t), "log", filepath.Join(t.TempDir(), "file"), Schema{})
	assert.ErrorContains(t, err, "no pg_dump")
}

func testArchiveNeedsItsSchema(t *testing.T, s *Server) {
	file := filepath.Join(t.TempDir(), "log.backup")
	require.NoError(t, s.Backup(limited(t), "log", file, sample()))
	was := ask(t, s, "log", fingerprint)
	for name, c := range map[string]struct{ change, want string }{
		"table lacking":   {`DROP TABLE "a/odd ""name"""`, "lacks"},
		"table too many":  {"CREATE TABLE more (n int)", "4 tables, the schema of its version 5"},
		"column too many": {"ALTER TABLE z_site ADD more int", "other columns"},
		"other type":      {"ALTER TABLE schema_version ALTER version TYPE bigint", "other columns"},
	} {
		t.Run(name, func(t *testing.T) {
			other := sample()
			other.Migrate = func(ctx context.Context, url string, _ int32) error {
				return execAt(ctx, url, sampleSchema+c.change)
			}
			_, err := s.Restore(limited(t), "log", file, other)
			require.ErrorContains(t, err, c.want)
			assert.Equal(t, was, ask(t, s, "log", fingerprint))
		})
	}
	_, err := s.Restore(limited(t), "log", file, Schema{})
	assert.ErrorContains(t, err, "none was given")
}

func testDumpWithoutPgRestore(t *testing.T, s *Server) {
	file := filepath.Join(t.TempDir(), "dump")
	require.NoError(t, os.WriteFile(file, []byte("PGDMP\x01\x0e"), 0o600))
	_, err := s.Restore(limited(t), "log", file, sample())
	assert.ErrorContains(t, err, "no pg_restore: install")
}

func TestArchiveOfAnotherFormatIsRefused(t *testing.T) {
	var packed bytes.Buffer
	out := zip.NewWriter(&packed)
	entry, err := out.Create(manifestName)
	require.NoError(t, err)
	_, err = entry.Write([]byte(`{"format": "beadspan copy archive 2"}`))
	require.NoError(t, err)
	require.NoError(t, out.Close())
	archive, err := zip.NewReader(bytes.NewReader(packed.Bytes()), int64(packed.Len()))
	require.NoError(t, err)
	_, err = readManifest(archive)
	assert.ErrorContains(t, err, `"beadspan copy archive 2"`)
}

func TestShortenKeepsWithinANameOfPostgres(t *testing.T) {
	// PostgreSQL manual, 4.1.1: a name has at most NAMEDATALEN-1 = 63 bytes.
	assert.Equal(t, "log_restoring", shorten("log", "_restoring"))
	assert.Len(t, shorten(strings.Repeat("n", 63), "_restoring"), 63)
}
