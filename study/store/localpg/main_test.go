package localpg

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// asProcess names the variable that makes this test binary do one thing and
// end, for tests of several processes.
const asProcess = "LOCALPG_TEST_PROCESS"

func TestMain(m *testing.M) {
	switch os.Getenv(asProcess) {
	case "":
		os.Exit(m.Run())
	case "open":
		s, err := Open(context.Background(), at(os.Getenv("LOCALPG_TEST_DIR")))
		exitOn(err)
		p, _ := s.postmaster()
		fmt.Print(p.pid)
	case "temporary":
		s, _, err := Temporary(context.Background())
		exitOn(err)
		fmt.Println(s.dir)
		time.Sleep(time.Minute) // to be killed
	}
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// process is this test binary, to be started to do what it is told on dir.
func process(ctx context.Context, what, dir string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, os.Args[0])
	cmd.Env = append(os.Environ(), asProcess+"="+what, "LOCALPG_TEST_DIR="+dir)
	cmd.Stderr = os.Stderr
	return cmd
}

// limited is a context that ends long after a test should have.
func limited(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// newBase is an empty base directory whose server is ended, and which is
// removed, after the test.
func newBase(t *testing.T) string {
	t.Helper()
	dir, err := temporaryDir()
	require.NoError(t, err)
	guard(t, dir)
	return dir
}

// guard ends what runs on base dir after the test, even if that is killed.
func guard(t *testing.T, dir string) {
	t.Helper()
	s, err := Locate(limited(t), at(dir))
	require.NoError(t, err)
	stop, err := s.guard()
	require.NoError(t, err)
	t.Cleanup(stop)
}

// at is base dir with the server programs that the tests are told to use, if any.
func at(dir string) Options { return Options{Dir: dir, BinDir: os.Getenv("BEADSPAN_PG_BIN")} }

// mustOpen opens the server of base dir without waiting for the disk.
func mustOpen(t *testing.T, dir string) *Server {
	t.Helper()
	o := at(dir)
	o.Settings = map[string]string{"fsync": "off"}
	s, err := Open(limited(t), o)
	require.NoError(t, err)
	return s
}

// mustExec runs SQL in a database.
func mustExec(t *testing.T, s *Server, database, sql string) {
	t.Helper()
	conn := mustConnect(t, s, database)
	_, err := conn.Exec(limited(t), sql)
	require.NoError(t, err)
}

// ask returns the one value, as text, that a query finds.
func ask(t *testing.T, s *Server, database, sql string) (answer string) {
	t.Helper()
	conn := mustConnect(t, s, database)
	require.NoError(t, conn.QueryRow(limited(t), sql).Scan(&answer))
	return answer
}

func mustConnect(t *testing.T, s *Server, database string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(limited(t), s.URL(database))
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}
