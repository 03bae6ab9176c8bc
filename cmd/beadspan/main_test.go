package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/ingest"
	"beadspan/study/store/storetest"
	"beadspan/testdata"
)

// asProgram names the variable that makes this test binary be the program, for
// tests that kill it.
const asProgram = "BEADSPAN_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	// What the person at the machine has set must not reach the tests.
	for _, name := range []string{"BEADSPAN_DATABASE_URL", "BEADSPAN_DATA_DIR"} {
		os.Unsetenv(name)
	}
	storetest.Main(m)
}

// result is what a command printed, and its exit code.
type result struct {
	out, err string
	code     int
}

// beadspan runs the program within this process.
func beadspan(t *testing.T, args ...string) result {
	t.Helper()
	var out, errOut bytes.Buffer
	code := run(t.Context(), args, &out, &errOut)
	return result{out.String(), errOut.String(), code}
}

// must fails the test unless the command succeeds, and returns what it printed.
func must(t *testing.T, args ...string) string {
	t.Helper()
	r := beadspan(t, args...)
	require.Zero(t, r.code, "beadspan %v: %s%s", args, r.out, r.err)
	return r.out
}

// program is the program as a process of its own.
func program(ctx context.Context, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, os.Args[0], args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	return cmd
}

// demoLog writes the demo's log into a folder of the test's own.
func demoLog(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, testdata.Demo()))
	require.NoError(t, os.Remove(filepath.Join(dir, "truth.csv")))
	return dir
}

// csvBlock is a table as the README shows it: its file's name, then its text.
var csvBlock = regexp.MustCompile("(?m)^`([a-z]+\\.csv)`.*\n```csv\n((?:.*\n)*?)```$")

// smallLog writes the log that the README shows.
func smallLog(t *testing.T) string {
	t.Helper()
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	blocks := csvBlock.FindAllSubmatch(readme, -1)
	require.Len(t, blocks, len(ingest.Tables()), "every table has its example")
	require.Equal(t, len(blocks), bytes.Count(readme, []byte("```csv")), "every example has its file's name above it")
	dir := t.TempDir()
	for _, block := range blocks {
		require.NoError(t, os.WriteFile(filepath.Join(dir, string(block[1])), block[2], 0o644))
	}
	return dir
}

// rewrite changes one file of a log.
func rewrite(t *testing.T, dir, name string, change func([]byte) []byte) {
	t.Helper()
	path := filepath.Join(dir, name)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	changed := change(text)
	require.NotEqual(t, string(text), string(changed), "nothing was changed")
	require.NoError(t, os.WriteFile(path, changed, fs.FileMode(0o644)))
}
