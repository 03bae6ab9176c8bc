package store_test

import (
	"context"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

func TestLoadThenFleet(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()

	loaded := load(t, s, st, f)
	assert.Equal(t, store.Loaded{Added: f.Size()}, loaded)
	assert.Equal(t, f, fleetOf(t, s, st), "what was loaded comes back whole")
}

func TestLoadTwiceChangesNothing(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)

	for name, same := range map[string]study.Fleet{"same ids": f, "ids of a second reading": again(f)} {
		assert.Equal(t, store.Loaded{Unchanged: f.Size()}, load(t, s, st, same), name)
		assert.Equal(t, f, fleetOf(t, s, st), name)
	}
}

// A fleet that grew adds what is new to what is stored, under the stored ids.
func TestLoadAddsToStoredRecords(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	whole := sample()
	part := whole
	part.Vehicles = slices.Clone(whole.Vehicles[:1])
	part.Vehicles[0].Checkups = nil
	load(t, s, st, part)

	loaded := load(t, s, st, again(whole))
	assert.Equal(t, study.Size{Vehicles: 1, Checkups: 2, Readings: 4}, loaded.Added)
	assert.Equal(t, part.Size(), loaded.Unchanged)

	got := fleetOf(t, s, st)
	assert.Equal(t, whole.Vehicles[0].Patches, got.Vehicles[0].Patches)
	assert.Equal(t, whole.Vehicles[0].Checkups[0].Readings, got.Vehicles[0].Checkups[0].Readings)
	assert.Equal(t, whole.Vehicles[0].Care, got.Vehicles[0].Care)
}

// Two studies may follow vehicles of the same codes, even the same ids; they
// share coatings, sites and people.
func TestLoadIntoTwoStudies(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one, two := addStudy(t, s, "S1"), addStudy(t, s, "S2")
	f := sample()
	load(t, s, one, f)

	loaded := load(t, s, two, f)
	n := f.Size()
	assert.Equal(t, study.Size{Coatings: n.Coatings, Sites: n.Sites, People: n.People}, loaded.Unchanged)
	assert.Equal(t, f, fleetOf(t, s, one))
	got := fleetOf(t, s, two)
	assert.Equal(t, f.Size(), got.Size())
	assert.NotEqual(t, f.Vehicles[0].ID, got.Vehicles[0].ID)
}

func TestLoadUnknownStudy(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	_, err := s.Load(t.Context(), study.NewID(), sample(), nil)
	require.ErrorIs(t, err, study.ErrNotFound)
	_, err = s.Fleet(t.Context(), study.NewID())
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestLoadReportsProgress(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := many(20, 10)
	var calls [][2]int
	_, err := s.Load(t.Context(), st.ID, f, func(done, total int) { calls = append(calls, [2]int{done, total}) })
	require.NoError(t, err)

	n := f.Size()
	total := n.Coatings + n.Sites + n.Shops + n.People + 2*n.Vehicles + n.Patches + n.Checkups + n.Readings + n.Care
	require.Greater(t, len(calls), 3)
	for i, c := range calls[:len(calls)-1] {
		assert.Less(t, c[0], calls[i+1][0], "progress never goes back")
	}
	assert.Equal(t, [2]int{total, total}, calls[len(calls)-1])
}

// Of several loads of one log at once, one adds everything and the others find
// it there.
func TestLoadsRacing(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := many(20, 5)
	results := make([]store.Loaded, 4)
	errs := make([]error, len(results))
	var running sync.WaitGroup
	for i := range results {
		log := again(f)
		running.Go(func() { results[i], errs[i] = s.Load(t.Context(), st.ID, log, nil) })
	}
	running.Wait()

	adders := 0
	for i, r := range results {
		require.NoError(t, errs[i])
		if r.Added != (study.Size{}) {
			adders++
			assert.Equal(t, store.Loaded{Added: f.Size()}, r)
		} else {
			assert.Equal(t, store.Loaded{Unchanged: f.Size()}, r)
		}
	}
	assert.Equal(t, 1, adders)
	assert.Equal(t, f.Size(), fleetOf(t, s, st).Size())
}

// A load that is called off in the middle stores nothing.
func TestLoadCancelled(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := many(20, 10)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := s.Load(ctx, st.ID, f, func(int, int) { cancel() })
	require.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, study.Size{}, fleetOf(t, s, st).Size())
	assert.Equal(t, store.Loaded{Added: f.Size()}, load(t, s, st, f))
}
