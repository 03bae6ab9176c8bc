package localpg

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTemporaryLeavesNothing(t *testing.T) {
	s, stop, err := Temporary(limited(t))
	require.NoError(t, err)
	assert.Equal(t, "off", ask(t, s, "postgres", "SHOW fsync"))
	p, _ := s.postmaster()
	stop()
	stop() // a second time is no fault
	// The process can outlast its last file by the moment it takes to be reaped.
	assert.Eventually(t, func() bool { return syscall.Kill(p.pid, 0) != nil }, 5*time.Second, 10*time.Millisecond)
	assert.NoDirExists(t, s.dir)
}

func TestTemporaryEndsWithAKilledProcess(t *testing.T) {
	victim := process(limited(t), "temporary", "")
	out, err := victim.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, victim.Start())
	dir, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	dir = strings.TrimSpace(dir)
	require.NotEmpty(t, glob(t, filepath.Join(dir, "pg*", "postmaster.pid")))

	require.NoError(t, victim.Process.Kill())
	victim.Wait()
	require.Eventually(t, func() bool {
		_, err := os.Stat(dir)
		return os.IsNotExist(err)
	}, 10*time.Second, 10*time.Millisecond)
}

func TestCreateDatabase(t *testing.T) {
	s, stop, err := Temporary(limited(t))
	require.NoError(t, err)
	defer stop()

	var together sync.WaitGroup
	for range 4 {
		together.Go(func() { assert.NoError(t, s.CreateDatabase(limited(t), `odd "name"/%`)) })
	}
	together.Wait()
	mustExec(t, s, `odd "name"/%`, "CREATE TABLE kept (n int)")
	require.NoError(t, s.CreateDatabase(limited(t), `odd "name"/%`), "one that is there is left as it is")
	assert.Equal(t, "0", ask(t, s, `odd "name"/%`, "SELECT count(*)::text FROM kept"))
}
