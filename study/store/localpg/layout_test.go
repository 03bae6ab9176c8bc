package localpg

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDefaultDir(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", "/data/of/mine")
	dir, err := DefaultDir()
	require.NoError(t, err)
	if os.Geteuid() == 0 {
		assert.Equal(t, "/var/lib/beadspan", dir, "root's home is closed to the server's account")
		return
	}
	assert.Equal(t, "/data/of/mine/beadspan", dir)

	// XDG Base Directory Specification 0.8: a relative path is to be ignored.
	t.Setenv("XDG_DATA_HOME", "mine")
	t.Setenv("HOME", "/home/of/mine")
	dir, err = DefaultDir()
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(dir, "/home/of/mine/"), dir)
}

// In a connection string a comma parts one host from the next: PostgreSQL
// manual, 34.1.1.3 "Specifying Multiple Hosts".
func TestSocketDirHasNoComma(t *testing.T) {
	assert.Equal(t, "/short/path/run", socketDir("/short/path", 7))
	first, second := socketDir("/a,b", 7), socketDir("/a,c", 7)
	assert.NotContains(t, first, ",")
	assert.NotEqual(t, first, second, "each base has its own")
	assert.Equal(t, first, socketDir("/a,b", 7), "and every process comes to the same")
}

func TestChooseMajor(t *testing.T) {
	p14, p15, p17 := Programs{Major: 14}, Programs{Major: 15}, Programs{Major: 17}
	for name, c := range map[string]struct {
		data   []string
		usable []Programs
		want   Programs
	}{
		"no data: the best programs":              {nil, []Programs{p17, p15}, p17},
		"data: its own, not newer ones":           {[]string{"pg15"}, []Programs{p17, p15}, p15},
		"newest data that has programs":           {[]string{"pg14", "pg15", "pg16"}, []Programs{p15, p14}, p15},
		"what was never finished does not count":  {[]string{"pg15.new-1"}, []Programs{p17}, p17},
		"what the user put aside does not either": {[]string{"pg15.old", "pg17"}, []Programs{p17}, p17},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			for _, data := range c.data {
				makeData(t, filepath.Join(dir, data))
			}
			got, err := chooseMajor(dir, c.usable)
			require.NoError(t, err)
			assert.Equal(t, c.want, got)
		})
	}
}

func TestDataOfAnotherMajorIsRefused(t *testing.T) {
	dir := t.TempDir()
	makeData(t, filepath.Join(dir, "pg99"))
	_, err := Open(limited(t), at(dir))
	var wrong *WrongMajorError
	require.ErrorAs(t, err, &wrong)
	assert.Equal(t, []int{99}, wrong.Data)
	for _, part := range []string{
		"apt-get install postgresql-99", "brew install postgresql@99", "BEADSPAN_PG_BIN",
		"beadspan db backup FILE", "beadspan db restore FILE", filepath.Join(dir, "pg99"),
	} {
		assert.ErrorContains(t, err, part)
	}
	assert.Equal(t, []int{99}, dataMajors(dir), "no other data was made")
}

// makeData makes what a data directory is known by.
func makeData(t *testing.T, dir string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "PG_VERSION"), []byte("0\n"), 0o600))
}
