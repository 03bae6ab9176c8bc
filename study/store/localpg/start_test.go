package localpg

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestServer puts one server through what each leaves in order for the next.
func TestServer(t *testing.T) {
	dir := newBase(t)
	for _, step := range []struct {
		name string
		test func(*testing.T, *Server)
	}{
		{"OpenMakesAServerAndFindsItAgain", testOpenMakesAServerAndFindsItAgain},
		{"ServerRunsWithoutPrivilege", testServerRunsWithoutPrivilege},
		{"WrongPasswordIsRefused", testWrongPasswordIsRefused},
		{"StopEndsTheServerAndStartBringsItBack", testStopEndsTheServerAndStartBringsItBack},
		{"StalePidFile", testStalePidFile},
		{"OrphansKeepASecondServerAway", testOrphansKeepASecondServerAway},
		{"LostSocketIsMadeAgain", testLostSocketIsMadeAgain},
		{"LostPasswordIsReplaced", testLostPasswordIsReplaced},
	} {
		t.Run(step.name, func(t *testing.T) { step.test(t, mustOpen(t, dir)) })
	}
}

func testOpenMakesAServerAndFindsItAgain(t *testing.T, s *Server) {

	// What the server itself says of how it was made.
	for setting, want := range map[string]string{
		"data_checksums": "on", "server_encoding": "UTF8", "listen_addresses": "", "password_encryption": "scram-sha-256",
	} {
		assert.Equal(t, want, ask(t, s, "postgres", "SELECT current_setting('"+setting+"')"), setting)
	}
	assert.Equal(t, "C", ask(t, s, "postgres", "SELECT datcollate FROM pg_database WHERE datname = 'postgres'"))

	for path, want := range map[string]os.FileMode{
		s.passwordFile(): 0o600, s.address.dir: 0o700, s.dataDir(): 0o700, s.logFile(): 0o600,
	} {
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, want, info.Mode().Perm(), path)
	}

	first, _ := s.postmaster()
	again, err := Open(limited(t), at(s.dir))
	require.NoError(t, err)
	second, _ := again.postmaster()
	assert.Equal(t, first.pid, second.pid, "the running server is used again")
	assert.Equal(t, s.URL("x"), again.URL("x"))
}

// Postgres refuses to run as root, and its files are its account's alone.
func testServerRunsWithoutPrivilege(t *testing.T, s *Server) {
	for _, path := range []string{s.pidFile(), s.address.socket()} {
		info, err := os.Stat(path)
		require.NoError(t, err)
		owner := info.Sys().(*syscall.Stat_t).Uid
		assert.NotZero(t, owner, "root owns %s", path)
		assert.Equal(t, s.account.uid, owner)
	}
}

func testWrongPasswordIsRefused(t *testing.T, s *Server) {
	url := strings.Replace(s.URL("postgres"), s.password, "guess", 1)
	_, err := pgconn.Connect(limited(t), url)
	var refusal *pgconn.PgError
	require.ErrorAs(t, err, &refusal)
	assert.Equal(t, "28P01", refusal.Code) // invalid_password: PostgreSQL manual, appendix A
}

func TestProcessesThatOpenAtOnceShareOneServer(t *testing.T) {
	dir := newBase(t)
	const many = 4
	pids := make(chan string, many)
	for range many {
		go func() {
			out, err := process(limited(t), "open", dir).Output()
			if assert.NoError(t, err) {
				pids <- string(out)
			} else {
				pids <- "failed"
			}
		}()
	}
	first := <-pids
	for range many - 1 {
		assert.Equal(t, first, <-pids)
	}
}

func TestKilledServerComesBackWithItsData(t *testing.T) {
	dir := newBase(t)
	// fsync stays on here: it is what the data's survival rests on.
	s, err := Open(limited(t), at(dir))
	require.NoError(t, err)
	mustExec(t, s, "postgres", "CREATE TABLE kept AS SELECT generate_series(1, 1000) AS n")
	before, _ := s.postmaster()
	require.NoError(t, syscall.Kill(before.pid, syscall.SIGKILL))

	s, err = Open(limited(t), at(dir))
	require.NoError(t, err)
	assert.Equal(t, "500500", ask(t, s, "postgres", "SELECT sum(n)::text FROM kept"))
	after, _ := s.postmaster()
	assert.NotEqual(t, before.pid, after.pid)
}

// After a reboot the pid in postmaster.pid may belong to any process, and where
// nobody reaps, the dead server stays as a zombie.
func testStalePidFile(t *testing.T, s *Server) {
	for name, command := range map[string]string{"stranger": "sleep 60", "zombie": "exit 0"} {
		t.Run(name, func(t *testing.T) {
			pidFile, err := os.ReadFile(s.pidFile())
			require.NoError(t, err)
			require.NoError(t, s.Stop(limited(t)))
			require.NoError(t, os.WriteFile(s.pidFile(), pidFile, 0o600))
			stranger := haveStranger(t, s, command)
			require.NoError(t, s.Start(limited(t)))
			p, _ := s.postmaster()
			assert.NotEqual(t, stranger, p.pid)
		})
	}
}

// haveStranger puts the pid of another process, which runs a command of the
// shell as the server's account, into postmaster.pid.
func haveStranger(t *testing.T, s *Server, command string) (pid int) {
	t.Helper()
	pidFile, err := os.ReadFile(s.pidFile())
	require.NoError(t, err)
	other := exec.Command("/bin/sh", "-c", command)
	s.account.runs(other)
	require.NoError(t, other.Start())
	t.Cleanup(func() { other.Process.Kill(); other.Wait() })
	if command == "exit 0" { // not waited for, so it becomes a zombie
		require.Eventually(t, func() bool { return strings.TrimSpace(commandLine(other.Process.Pid)) == "" },
			5*time.Second, 5*time.Millisecond)
	}
	_, rest, _ := strings.Cut(string(pidFile), "\n")
	require.NoError(t, os.WriteFile(s.pidFile(), []byte(strconv.Itoa(other.Process.Pid)+"\n"+rest), 0o600))
	require.NoError(t, s.account.own(s.pidFile()))
	return other.Process.Pid
}

// While a process of a killed server can still write, no second server may
// start, even when the pid in postmaster.pid has gone to a stranger.
func testOrphansKeepASecondServerAway(t *testing.T, s *Server) {
	conn := mustConnect(t, s, "postgres")
	orphan := int(conn.PgConn().PID())
	p, _ := s.postmaster()
	require.NoError(t, syscall.Kill(orphan, syscall.SIGSTOP))
	defer syscall.Kill(orphan, syscall.SIGKILL)
	require.NoError(t, syscall.Kill(p.pid, syscall.SIGKILL))
	haveStranger(t, s, "sleep 60")

	brief, cancel := context.WithTimeout(t.Context(), 3*time.Second)
	defer cancel()
	require.Error(t, s.Start(brief))
	log, err := os.ReadFile(s.logFile())
	require.NoError(t, err)
	assert.Contains(t, string(log), "pre-existing shared memory block") // the server's reason
	_, err = pgconn.Connect(limited(t), s.URL("postgres"))
	require.Error(t, err, "a second server runs beside a process of the first")

	require.NoError(t, syscall.Kill(orphan, syscall.SIGKILL))
	require.NoError(t, s.Start(limited(t)))
}

func TestKilledWhileMakingTheData(t *testing.T) {
	dir := newBase(t)
	victim := process(limited(t), "open", dir)
	require.NoError(t, victim.Start())
	unfinished := filepath.Join(dir, "pg*.new-*", "base")
	require.Eventually(t, func() bool { return len(glob(t, unfinished)) > 0 }, 30*time.Second, time.Millisecond)
	require.NoError(t, victim.Process.Kill())
	victim.Wait()
	require.Empty(t, dataMajors(dir), "the victim had finished: nothing was tested")

	s := mustOpen(t, dir)
	assert.Equal(t, "1", ask(t, s, "postgres", "SELECT '1'"))
	assert.Empty(t, glob(t, filepath.Join(dir, "*.new-*")), "what was unfinished is cleared away")
}

func testStopEndsTheServerAndStartBringsItBack(t *testing.T, s *Server) {
	before, err := s.Status(limited(t))
	require.NoError(t, err)
	assert.True(t, before.Running)
	assert.True(t, before.Made)
	assert.Greater(t, before.SizeBytes, int64(1<<20))
	require.NoError(t, syscall.Kill(before.PID, 0))

	require.NoError(t, s.Stop(limited(t)))
	require.NoError(t, s.Stop(limited(t)), "stopping twice is no fault")
	stopped, err := s.Status(limited(t))
	require.NoError(t, err)
	assert.False(t, stopped.Running)
	assert.Zero(t, stopped.PID)
	_, err = pgconn.Connect(limited(t), s.URL("postgres"))
	require.Error(t, err)

	require.NoError(t, s.Start(limited(t)))
	assert.Equal(t, "1", ask(t, s, "postgres", "SELECT '1'"))
}

func TestLocateMakesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not there")
	s, err := Locate(limited(t), at(dir))
	require.NoError(t, err)
	status, err := s.Status(limited(t))
	require.NoError(t, err)
	assert.False(t, status.Made)
	require.NoError(t, s.Stop(limited(t)))
	assert.NoDirExists(t, dir)
}

// The address of a Unix socket has room for about 100 characters.
func TestLongPath(t *testing.T) {
	dir := filepath.Join(newBase(t), strings.Repeat("long", 30), "er")
	require.NoError(t, os.MkdirAll(filepath.Dir(dir), 0o755))
	guard(t, dir)
	s := mustOpen(t, dir)
	assert.Equal(t, "1", ask(t, s, "postgres", "SELECT '1'"))
	assert.Less(t, len(s.address.socket()), 104)
}

func TestOddPath(t *testing.T) {
	dir := filepath.Join(newBase(t), "a b 'c' [d]* #e &f;")
	guard(t, dir)
	s := mustOpen(t, dir)
	assert.Equal(t, filepath.Join(s.dir, "run"), s.address.dir)
	require.NoError(t, s.CreateDatabase(limited(t), "a ?/b+c"))
	assert.Equal(t, "a ?/b+c", ask(t, s, "a ?/b+c", "SELECT current_database()::text"))
	if psql, err := exec.LookPath(s.programs.path("psql")); err == nil {
		out, err := exec.Command(psql, "-Atc", "SELECT current_database()", s.URL("a ?/b+c")).CombinedOutput()
		require.NoError(t, err, string(out))
		assert.Equal(t, "a ?/b+c\n", string(out), "the tools of Postgres read the URL alike")
	}
}

// initdb and pg_ctl hand paths to the shell between double quotes.
func TestPathThatAShellWouldChangeIsRefused(t *testing.T) {
	for _, name := range []string{`a"b`, "a$HOME", "a`id`", `a\b`, "a\nb"} {
		_, err := Open(limited(t), at(filepath.Join(t.TempDir(), name)))
		assert.ErrorContains(t, err, "cannot take", name)
	}
}

func TestSocketDirOfAnotherIsRefused(t *testing.T) {
	trap := filepath.Join(t.TempDir(), "run")
	require.NoError(t, os.Symlink(t.TempDir(), trap))
	runner, err := serverAccount()
	require.NoError(t, err)
	assert.ErrorContains(t, makeSocketDir(trap, runner), "is not yours")
}

func testLostSocketIsMadeAgain(t *testing.T, s *Server) {
	require.NoError(t, os.Remove(s.address.socket()))
	old := time.Now().Add(-2 * startPatience)
	require.NoError(t, os.Chtimes(s.pidFile(), old, old))
	require.NoError(t, s.Start(limited(t)))
	assert.Equal(t, "1", ask(t, s, "postgres", "SELECT '1'"))
}

func testLostPasswordIsReplaced(t *testing.T, s *Server) {
	mustExec(t, s, "postgres", "CREATE TABLE kept AS SELECT 7 AS n")
	old := s.URL("postgres")
	require.NoError(t, os.Remove(s.passwordFile()))

	s = mustOpen(t, s.dir)
	assert.Equal(t, "7", ask(t, s, "postgres", "SELECT n::text FROM kept"))
	_, err := pgconn.Connect(limited(t), old)
	assert.Error(t, err, "the old password still works")
}

func TestSettings(t *testing.T) {
	dir := newBase(t)
	o := at(dir)
	o.Settings = map[string]string{"work_mem": "a lot", "fsync": "off"}
	_, err := Open(limited(t), o)
	require.Error(t, err)
	assert.ErrorContains(t, err, `invalid value for parameter "work_mem": "a lot"`) // the server's words

	o.Settings = map[string]string{"work_mem": "5MB", "application_name": `it's \ odd`}
	s, err := Open(limited(t), o)
	require.NoError(t, err)
	assert.Equal(t, "5MB", ask(t, s, "postgres", "SHOW work_mem"))
	assert.Equal(t, `it's \ odd`, ask(t, s, "postgres", "SHOW application_name"))
}

func TestLockIsWaitedForUntilTheContextEnds(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	held, err := lockFile(t.Context(), path)
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	_, err = lockFile(ctx, path)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	assert.ErrorContains(t, err, path)

	require.NoError(t, held.Close())
	free, err := lockFile(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, free.Close())
}

func TestRootIsToldOfAClosedHome(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root runs the server as another account")
	}
	home := filepath.Join(newBase(t), "home")
	require.NoError(t, os.Mkdir(home, 0o700))
	_, err := Open(limited(t), at(filepath.Join(home, "data")))
	require.ErrorContains(t, err, home+" is closed to the account")
	assert.ErrorContains(t, err, "/var/lib/beadspan")
}

func glob(t *testing.T, pattern string) []string {
	t.Helper()
	matches, err := filepath.Glob(pattern)
	require.NoError(t, err)
	return matches
}

// BenchmarkOpenRunning is what the private server costs every command.
func BenchmarkOpenRunning(b *testing.B) {
	s, stop, err := Temporary(b.Context())
	require.NoError(b, err)
	defer stop()
	for b.Loop() {
		_, err := Open(b.Context(), at(s.dir))
		require.NoError(b, err)
	}
}
