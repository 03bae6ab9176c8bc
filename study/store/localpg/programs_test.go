package localpg

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What "postgres --version" printed in Debian's packages 15.18, in the npm
// package's 18.4, and in betas, whose version names the PostgreSQL project sets
// as "19beta1" (https://www.postgresql.org/developer/beta/).
func TestParseVersion(t *testing.T) {
	for said, want := range map[string]struct {
		version string
		major   int
	}{
		"postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n": {"15.18", 15},
		"postgres (PostgreSQL) 18.4\n":                           {"18.4", 18},
		"postgres (PostgreSQL) 19beta1\n":                        {"19beta1", 19},
	} {
		version, major, ok := parseVersion(said)
		require.True(t, ok, said)
		assert.Equal(t, want.version, version)
		assert.Equal(t, want.major, major)
	}
	_, _, ok := parseVersion("mysqld  Ver 8.0")
	assert.False(t, ok)
}

func TestFindTakesTheNewestOfTheMachineThenTheFetched(t *testing.T) {
	machine, base := t.TempDir(), t.TempDir()
	fakePrograms(t, filepath.Join(machine, "lib", "16", "bin"), "16.2")
	fakePrograms(t, filepath.Join(machine, "lib", "9.6", "bin"), "9.6.24")
	fakePrograms(t, filepath.Join(machine, "usr", "17", "bin"), "17.4")
	fakePrograms(t, filepath.Join(machine, "usr", "17b", "bin"), "17.10")
	fakePrograms(t, filepath.Join(fetchedDir(base), "copy", "bin"), "18.4")
	require.NoError(t, os.Symlink(filepath.Join(machine, "usr", "17"), filepath.Join(machine, "usr", "current")))

	where := search{places: []string{filepath.Join(machine, "lib", "*", "bin"), filepath.Join(machine, "usr", "*", "bin")}}
	found, err := where.find(t.Context(), base, "")
	require.NoError(t, err)
	var versions []string
	for _, p := range found {
		versions = append(versions, p.Version)
	}
	assert.Equal(t, []string{"17.10", "17.4", "16.2", "18.4"}, versions)

	only, err := where.find(t.Context(), base, filepath.Join(machine, "lib", "16", "bin"))
	require.NoError(t, err)
	assert.Equal(t, []Programs{{BinDir: filepath.Join(machine, "lib", "16", "bin"), Version: "16.2", Major: 16}}, only)

	_, err = where.find(t.Context(), base, filepath.Join(machine, "lib", "9.6", "bin"))
	assert.ErrorContains(t, err, "version 9.6.24 is older than 14")
}

func TestNoProgramsSaysWhatToInstall(t *testing.T) {
	machine := t.TempDir()
	fakePrograms(t, filepath.Join(machine, "13", "bin"), "13.9")
	_, err := Open(t.Context(), Options{
		Dir:    t.TempDir(),
		search: &search{places: []string{filepath.Join(machine, "*", "bin")}},
	})
	var none *NoProgramsError
	require.ErrorAs(t, err, &none)
	for _, part := range []string{
		"apt-get install postgresql", "dnf install postgresql-server", "brew install postgresql@17",
		"beadspan db fetch", "BEADSPAN_PG_BIN", "--database-url", "13.9 is older than 14",
	} {
		assert.ErrorContains(t, err, part)
	}
	assert.NotContains(t, err.Error(), "\n", "errors are one line")
}

func TestClientsAloneAreNoServer(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "psql"), []byte("#!/bin/sh\n"), 0o755))
	_, err := search{places: []string{dir}}.find(t.Context(), t.TempDir(), "")
	var none *NoProgramsError
	require.ErrorAs(t, err, &none)
	assert.Empty(t, none.Refused)

	_, err = search{}.find(t.Context(), t.TempDir(), dir)
	assert.ErrorContains(t, err, dir+": no program postgres")
}

// fakePrograms makes programs in dir that tell a version and do nothing else.
func fakePrograms(t *testing.T, dir, version string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o755))
	script := "#!/bin/sh\necho 'postgres (PostgreSQL) " + version + "'\n"
	for _, name := range []string{"postgres", "initdb", "pg_ctl"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(script), 0o755))
	}
}
