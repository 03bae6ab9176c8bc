package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// twoShops is many's fleet, of which the even vehicles are of one shop, every
// fourth of the others of another and the rest of none.
func twoShops(vehicles int) study.Fleet {
	f := many(vehicles, 2)
	f.Shops = []study.Shop{{ID: study.NewID(), Code: "EVEN"}, {ID: study.NewID(), Code: "FOURTH"}}
	for i := range f.Vehicles {
		switch {
		case i%2 == 0:
			f.Vehicles[i].ShopID = &f.Shops[0].ID
		case i%4 == 1:
			f.Vehicles[i].ShopID = &f.Shops[1].ID
		}
	}
	return f
}

func TestVehiclesByScope(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st, other := addStudy(t, s, "ONE"), addStudy(t, s, "TWO")
	f := twoShops(12)
	load(t, s, st, f)
	load(t, s, other, many(3, 1))
	even, fourth := f.Shops[0].ID, f.Shops[1].ID
	for name, c := range map[string]struct {
		scope store.Scope
		sees  func(i int) bool
	}{
		"every shop": {store.Scope{StudyID: st.ID, EveryShop: true}, func(int) bool { return true }},
		"one":        {store.Scope{StudyID: st.ID, ShopIDs: []study.ID{even}}, func(i int) bool { return i%2 == 0 }},
		"both":       {store.Scope{StudyID: st.ID, ShopIDs: []study.ID{even, fourth}}, func(i int) bool { return i%4 != 3 }},
		"no shop":    {store.Scope{StudyID: st.ID}, func(int) bool { return false }},
		"no study":   {store.Scope{EveryShop: true}, func(int) bool { return false }},
	} {
		var want, got []string
		for i, v := range f.Vehicles {
			fleet, err := s.VehicleByCode(t.Context(), c.scope, v.Code)
			assert.Equal(t, c.sees(i) && c.scope.StudyID == st.ID, c.scope.StudyID == st.ID && c.scope.Covers(v.ShopID), "%s %s", name, v.Code)
			if c.sees(i) {
				want = append(want, v.Code)
				require.NoError(t, err, "%s %s", name, v.Code)
				assert.Equal(t, []study.Vehicle{v}, fleet.Vehicles, name)
			} else {
				require.ErrorIs(t, err, study.ErrNotFound, "%s %s", name, v.Code)
			}
		}
		// Page by page.
		q := store.VehicleQuery{Limit: 5}
		for more := true; more; {
			var page []store.VehicleLine
			var err error
			page, more, err = s.Vehicles(t.Context(), c.scope, q)
			require.NoError(t, err, name)
			for _, l := range page {
				got = append(got, l.Code)
				q.After = l.Code
				assert.Equal(t, 3, l.Patches)
			}
		}
		assert.Equal(t, want, got, name)
		n, err := s.CountVehicles(t.Context(), c.scope)
		require.NoError(t, err, name)
		assert.Equal(t, len(want), n, name)
	}
}

func TestVehicleLine(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "ONE")
	f := sample()
	f.Shops = []study.Shop{{ID: study.NewID(), Code: "NORTH"}}
	f.Vehicles[0].ShopID = &f.Shops[0].ID
	load(t, s, st, f)
	all := store.Scope{StudyID: st.ID, EveryShop: true}
	list, more, err := s.Vehicles(t.Context(), all, store.VehicleQuery{Limit: 10})
	require.NoError(t, err)
	assert.False(t, more)
	assert.Equal(t, []store.VehicleLine{
		{ID: f.Vehicles[0].ID, Code: "V001", Site: "COAST", Shop: "NORTH", Patches: 2, LastDay: new(day(2024, 9, 1))},
		{ID: f.Vehicles[1].ID, Code: "V002", Site: "INLAND"},
	}, list)
	for search, want := range map[string]int{"v0": 2, "002": 1, "%": 0, "_": 0, `\`: 0} {
		list, _, err = s.Vehicles(t.Context(), all, store.VehicleQuery{Search: search, Limit: 10})
		require.NoError(t, err, search)
		assert.Len(t, list, want, search)
	}
	// A vehicle's fleet is what it names, as Fleet has it.
	one, err := s.VehicleByCode(t.Context(), all, "V001")
	require.NoError(t, err)
	assert.Equal(t, study.Fleet{Coatings: f.Coatings, Sites: f.Sites[:1], Shops: f.Shops, People: f.People, Vehicles: f.Vehicles[:1]}, one)
	shops, err := s.Shops(t.Context(), st.ID)
	require.NoError(t, err)
	assert.Equal(t, f.Shops, shops)
}

// A study's revision counts what changed its records, and nothing else.
func TestRevision(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st, other := addStudy(t, s, "ONE"), addStudy(t, s, "TWO")
	steward := newAccount("steward")
	steward.Steward = true
	revision := func(code string) int64 {
		access, err := s.AccessOf(t.Context(), steward, code)
		require.NoError(t, err)
		return access.Revision
	}
	f := sample()
	load(t, s, st, f)
	assert.Equal(t, int64(1), revision("ONE"))
	load(t, s, st, again(f))
	_, err := s.TryLoad(t.Context(), st.ID, many(1, 1), nil)
	require.NoError(t, err)
	assert.Equal(t, int64(1), revision("ONE"), "nothing has changed")
	load(t, s, other, many(1, 1))

	f.Vehicles[0].Note = "blue"
	f.Coatings[1].Note = "another batch"
	load(t, s, st, f)
	assert.Equal(t, int64(1), revision("ONE"), "a proposal changes nothing")
	proposed, err := s.Amendments(t.Context(), st.ID, study.Proposed)
	require.NoError(t, err)
	require.Len(t, proposed, 2)
	before := revision("TWO")
	for _, a := range proposed {
		was := revision("ONE")
		require.NoError(t, s.Accept(t.Context(), a.ID, "KW", "seen"))
		assert.Equal(t, was+1, revision("ONE"), a.Record)
	}
	assert.Equal(t, before+1, revision("TWO"), "a coating is every study's")
}
