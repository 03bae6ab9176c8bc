package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// Amendments are listed to those who may see their vehicles, the latest first.
func TestAmendmentsIn(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	shop := study.Shop{ID: study.NewID(), Code: "NORTH"}
	f.Shops = []study.Shop{shop}
	f.Vehicles[0].ShopID = &shop.ID
	_, err := s.Load(t.Context(), st.ID, f, nil)
	require.NoError(t, err)
	for _, note := range []string{"first", "second"} {
		f.Vehicles[0].Note = note
		_, err = s.Load(t.Context(), st.ID, f, nil)
		require.NoError(t, err)
	}
	all := store.Scope{StudyID: st.ID, EveryShop: true}
	north := store.Scope{StudyID: st.ID, ShopIDs: []study.ID{shop.ID}}
	elsewhere := store.Scope{StudyID: st.ID, ShopIDs: []study.ID{study.NewID()}}
	for _, scope := range []store.Scope{all, north} {
		list, more, err := s.AmendmentsIn(t.Context(), scope, store.AmendmentQuery{Limit: 1})
		require.NoError(t, err)
		assert.True(t, more)
		require.Len(t, list, 1)
		assert.Equal(t, "second", list[0].Changes[0].After)
		list, more, err = s.AmendmentsIn(t.Context(), scope, store.AmendmentQuery{State: study.Proposed, Skip: 1, Limit: 1})
		require.NoError(t, err)
		assert.False(t, more)
		require.Len(t, list, 1)
		assert.Equal(t, "first", list[0].Changes[0].After)
		has, err := s.HasAmendment(t.Context(), scope, list[0].ID)
		require.NoError(t, err)
		assert.True(t, has)
		n, err := s.CountProposed(t.Context(), scope)
		require.NoError(t, err)
		assert.Equal(t, 2, n)

		list, _, err = s.AmendmentsIn(t.Context(), scope, store.AmendmentQuery{State: study.Accepted, Limit: 9})
		require.NoError(t, err)
		assert.Empty(t, list)
	}
	list, _, err := s.AmendmentsIn(t.Context(), elsewhere, store.AmendmentQuery{Limit: 9})
	require.NoError(t, err)
	assert.Empty(t, list)
	n, err := s.CountProposed(t.Context(), elsewhere)
	require.NoError(t, err)
	assert.Zero(t, n)
	known, _, err := s.AmendmentsIn(t.Context(), all, store.AmendmentQuery{Limit: 9})
	require.NoError(t, err)
	has, err := s.HasAmendment(t.Context(), elsewhere, known[0].ID)
	require.NoError(t, err)
	assert.False(t, has)
}
