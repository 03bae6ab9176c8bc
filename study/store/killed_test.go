package store_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// The environment of the program that is killed in the middle of a load.
const (
	killedLoadURL   = "STORE_TEST_KILLED_LOAD_URL"
	killedLoadStudy = "STORE_TEST_KILLED_LOAD_STUDY"
	killedLoadAtRow = "STORE_TEST_KILLED_LOAD_AT_ROW"
	killedLoadAfter = "STORE_TEST_KILLED_LOAD_AFTER" // that row
)

// loadUntilKilled loads a fleet and kills itself, as kill -9 does.
func loadUntilKilled(url string) {
	atRow, err := strconv.Atoi(os.Getenv(killedLoadAtRow))
	exitOn(err)
	after, err := time.ParseDuration(os.Getenv(killedLoadAfter))
	exitOn(err)
	ctx := context.Background()
	s, err := store.Open(ctx, url, quiet)
	exitOn(err)
	st, err := s.StudyByCode(ctx, os.Getenv(killedLoadStudy))
	exitOn(err)
	_, err = s.Load(ctx, st.ID, many(20, 10), func(done, _ int) {
		switch {
		case done < atRow:
		case after == 0:
			killSelf()
			select {} // the signal is on its way
		default:
			time.AfterFunc(after, killSelf)
		}
	})
	exitOn(err)
	select {} // it was stored; the signal is on its way
}

func killSelf() { exitOn(syscall.Kill(os.Getpid(), syscall.SIGKILL)) }

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
}

// TestLoadKilled kills loads while rows are sent, which must leave nothing, and
// at moments of the comparing and storing after that, which must leave all or
// nothing. Either way the next load completes.
func TestLoadKilled(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	s, err := store.Open(t.Context(), url, quiet)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	f := many(20, 10)
	n := f.Size()
	last := n.Coatings + n.Sites + n.Shops + n.People + 2*n.Vehicles + n.Patches + n.Checkups + n.Readings + n.Care

	for i, c := range []struct {
		atRow int
		after time.Duration
	}{
		{1, 0}, {last / 2, 0}, {last, 0},
		{last, 5 * time.Millisecond}, {last, 20 * time.Millisecond}, {last, 60 * time.Millisecond}, {last, 150 * time.Millisecond},
	} {
		st := addStudy(t, s, "S"+strconv.Itoa(i))
		program := exec.CommandContext(t.Context(), os.Args[0])
		program.Env = append(os.Environ(), killedLoadURL+"="+url, killedLoadStudy+"="+st.Code,
			killedLoadAtRow+"="+strconv.Itoa(c.atRow), killedLoadAfter+"="+c.after.String())
		said, err := program.CombinedOutput()
		require.Equal(t, "signal: killed", fmt.Sprint(err), "%s", said)

		left := fleetOf(t, s, st).Size()
		if c.after == 0 || left != n {
			assert.Equal(t, study.Size{}, left, "killed at row %d and %s", c.atRow, c.after)
		}
		load(t, s, st, f)
		assert.Equal(t, n, fleetOf(t, s, st).Size(), "the next load completes")
	}
}
