package reports

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestProgress: it rises by one or more, to a total that was right from the
// start, also where a group is too small for a bootstrap.
func TestProgress(t *testing.T) {
	y := madeUpYard(1, 40)
	y.held("Dfb", "A-1", 100) // too few for an estimate
	options := DefaultOptions(study.DayOf(2026, 3, 1), "test")
	options.BootstrapReplicates = 99
	last := 0
	options.Progress = func(done, total int) {
		assert.Greater(t, done, last)
		// Two coatings, and A-1 in three climates and B/2 in two; then the two
		// coatings' models.
		assert.Equal(t, (2+5)*99+2*modelShare, total)
		last = done
	}
	_, err := New(t.Context(), study.Study{Code: "S", Protocol: atOnce()}, y.fleet, options)
	require.NoError(t, err)
	assert.Equal(t, (2+5)*99+2*modelShare, last)

	last = 0
	life := DefaultLifeOptions(ByCoating)
	life.Progress = func(done, total int) { last = done; assert.Equal(t, 1000, total) }
	_, err = NewLife(t.Context(), y.follow(), life)
	require.NoError(t, err)
	assert.Equal(t, 1000, last)
}

// TestCancelled: whoever stops the work need not wait for its end.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	options := DefaultOptions(study.DayOf(2026, 3, 1), "test")
	last := 0
	options.Progress = func(done, _ int) {
		last = done
		if done == 5 {
			cancel()
		}
	}
	_, err := New(ctx, study.Study{Code: "S", Protocol: atOnce()}, madeUpYard(1, 40).fleet, options)
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, last, 500)
}
