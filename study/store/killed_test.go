package store_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// The environment of the program that is killed in the middle of a load.
const (
	killedLoadURL = "STORE_TEST_KILLED_LOAD_URL"
	killedLoadAt  = "STORE_TEST_KILLED_LOAD_AT"
)

// loadUntilKilled loads a fleet into study S1 and kills itself, as kill -9
// does, once that many rows were sent.
func loadUntilKilled(url string) {
	at, err := strconv.Atoi(os.Getenv(killedLoadAt))
	exitOn(err)
	ctx := context.Background()
	s, err := store.Open(ctx, url, quiet)
	exitOn(err)
	st, err := s.StudyByCode(ctx, "S1")
	exitOn(err)
	_, err = s.Load(ctx, st.ID, many(20, 10), func(done, _ int) {
		if done >= at {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {} // the signal is on its way
		}
	})
	exitOn(err)
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
}

func TestLoadKilled(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	s, err := store.Open(t.Context(), url, quiet)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	st := addStudy(t, s, "S1")
	f := many(20, 10)
	n := f.Size()
	last := n.Coatings + n.Sites + n.People + 2*n.Vehicles + n.Patches + n.Checkups + n.Readings + n.Care

	for _, at := range []int{1, last / 2, last} {
		program := exec.CommandContext(t.Context(), os.Args[0])
		program.Env = append(os.Environ(), killedLoadURL+"="+url, killedLoadAt+"="+strconv.Itoa(at))
		said, err := program.CombinedOutput()
		require.Equal(t, "signal: killed", fmt.Sprint(err), "%s", said)
		assert.Equal(t, study.Size{}, fleetOf(t, s, st).Size(), "killed at row %d", at)
	}
	assert.Equal(t, store.Loaded{Added: f.Size()}, load(t, s, st, f), "the next load completes")
	assert.Equal(t, f.Size(), fleetOf(t, s, st).Size())
}
