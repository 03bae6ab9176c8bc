package web

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// figureTest is a study to work figures out of.
func figureTest(t *testing.T) (*records, *figures) {
	t.Helper()
	s := storetest.New(t)
	st := study.Study{ID: study.NewID(), Code: "S1", Protocol: study.DefaultProtocol()}
	require.NoError(t, s.AddStudy(t.Context(), st))
	ctx, stop := context.WithCancel(t.Context())
	c := newFigures(ctx, s, slog.New(slog.DiscardHandler))
	t.Cleanup(func() {
		stop()
		c.wait()
	})
	return &records{store: s, figures: c, study: st, revision: 1, scope: store.Scope{StudyID: st.ID, EveryShop: true}}, c
}

// ready looks a figure up until it is there and fresh.
func ready[T any](t *testing.T, x *records, f figure[T]) T {
	t.Helper()
	var got found[T]
	require.Eventually(t, func() bool {
		var err error
		got, err = lookUp(x, f, 0)
		require.NoError(t, err)
		return got.Fresh
	}, 10*time.Second, time.Millisecond)
	return got.Value
}

// A figure is worked out once for all who ask, and once more when the records
// have changed; until then the former one is shown, and said to be so.
func TestFigureIsShared(t *testing.T) {
	t.Parallel()
	x, _ := figureTest(t)
	var worked atomic.Int64
	hold := make(chan struct{})
	f := figure[int64]{"count", func(_ context.Context, in figureInput) (int64, error) {
		in.progress(3, 7)
		<-hold
		return worked.Add(1), nil
	}}
	first, err := lookUp(x, f, 0)
	require.NoError(t, err)
	assert.False(t, first.Ready)
	require.Eventually(t, func() bool {
		got, err := lookUp(x, f, 0)
		require.NoError(t, err)
		return got.Done == 3 && got.Total == 7
	}, 10*time.Second, time.Millisecond)

	var asking sync.WaitGroup
	for range 20 {
		asking.Go(func() { _, _ = lookUp(x, f, 0) })
	}
	asking.Wait()
	hold <- struct{}{}
	assert.Equal(t, int64(1), ready(t, x, f))

	x.revision = 2
	stale, err := lookUp(x, f, 0)
	require.NoError(t, err)
	assert.Equal(t, [3]any{int64(1), true, false}, [3]any{stale.Value, stale.Ready, stale.Fresh})
	hold <- struct{}{}
	assert.Equal(t, int64(2), ready(t, x, f))

	_, err = lookUp(x, f, 1) // tomorrow
	require.NoError(t, err)
	hold <- struct{}{}
	require.Eventually(t, func() bool { return worked.Load() == 3 }, 10*time.Second, time.Millisecond)
}

// A failure is told once, and the next to ask has it tried again.
func TestFigureFails(t *testing.T) {
	t.Parallel()
	x, _ := figureTest(t)
	errOdd := errors.New("odd")
	var tried atomic.Int64
	f := figure[string]{"fails once", func(context.Context, figureInput) (string, error) {
		if tried.Add(1) == 1 {
			return "", errOdd
		}
		return "well", nil
	}}
	require.Eventually(t, func() bool {
		_, err := lookUp(x, f, 0)
		return errors.Is(err, errOdd)
	}, 10*time.Second, time.Millisecond)
	assert.Equal(t, "well", ready(t, x, f))
}

// The fleet is read once for figures of the same records.
func TestFiguresShareTheFleet(t *testing.T) {
	t.Parallel()
	x, c := figureTest(t)
	fleetOf := func(name string) figure[*study.Fleet] {
		return figure[*study.Fleet]{name, func(_ context.Context, in figureInput) (*study.Fleet, error) { return in.fleet, nil }}
	}
	first := ready(t, x, fleetOf("a"))
	assert.Same(t, first, ready(t, x, fleetOf("b")))
	x.revision = 2
	second := ready(t, x, fleetOf("c"))
	assert.NotSame(t, first, second)
	c.dropFleet()
	assert.NotSame(t, second, ready(t, x, fleetOf("d")))
}

// Work that waits for its turn ends with the server.
func TestFiguresEnd(t *testing.T) {
	t.Parallel()
	x, c := figureTest(t)
	ctx, stop := context.WithCancel(t.Context())
	c.ctx = ctx
	block := figure[int]{"block", func(ctx context.Context, _ figureInput) (int, error) {
		<-ctx.Done()
		return 0, ctx.Err()
	}}
	for _, name := range []string{"a", "b", "c"} {
		block.name = name
		_, err := lookUp(x, block, 0)
		require.NoError(t, err)
	}
	stop()
	c.wait()
	got, err := lookUp(x, figure[int]{"late", block.work}, 0)
	require.NoError(t, err)
	assert.Equal(t, found[int]{}, got, "nothing begins any more")
}

// A mistake in one figure is an error of that figure.
func TestFigureThatPanics(t *testing.T) {
	t.Parallel()
	x, _ := figureTest(t)
	broken := figure[int]{"broken", func(context.Context, figureInput) (int, error) { panic("no such metric") }}
	require.Eventually(t, func() bool {
		_, err := lookUp(x, broken, 0)
		return err != nil && strings.Contains(err.Error(), "no such metric")
	}, 10*time.Second, 10*time.Millisecond)
	assert.Equal(t, 7, ready(t, x, figure[int]{"whole", func(context.Context, figureInput) (int, error) { return 7, nil }}))
}
