package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// A coating that is put down is the study's before any patch has it, and no
// other study's.
func TestAddCoating(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one, other := addStudy(t, s, "ONE"), addStudy(t, s, "OTHER")
	coating := study.Coating{ID: study.NewID(), Code: "K-20", Name: "house glass", ClaimLowMonths: new(12.0)}

	added, err := s.AddCoating(t.Context(), one.ID, coating, store.Loading{})
	require.NoError(t, err)
	assert.Equal(t, study.Size{Coatings: 1}, added.Added)
	list, err := s.Coatings(t.Context(), one.ID)
	require.NoError(t, err)
	assert.Equal(t, []study.Coating{coating}, list)
	list, err = s.Coatings(t.Context(), other.ID)
	require.NoError(t, err)
	assert.Empty(t, list)

	// The other study means the same product by the code, and says otherwise of
	// it: that waits for a decision, and what was put down stays.
	again := study.Coating{ID: study.NewID(), Code: "K-20", Name: "house glass", ClaimLowMonths: new(18.0)}
	proposed, err := s.AddCoating(t.Context(), other.ID, again, store.Loading{})
	require.NoError(t, err)
	assert.Equal(t, store.Loaded{Proposed: 1}, proposed)
	list, err = s.Coatings(t.Context(), other.ID)
	require.NoError(t, err)
	assert.Equal(t, []study.Coating{coating}, list)

	// What a form leaves blank is known to be blank.
	again.ClaimLowMonths = nil
	proposed, err = s.AddCoating(t.Context(), one.ID, again, store.Loading{BlanksCorrect: true})
	require.NoError(t, err)
	assert.Equal(t, 1, proposed.Proposed)
	_, err = s.AddCoating(t.Context(), one.ID, study.Coating{ID: study.NewID(), Code: "two words"}, store.Loading{})
	assert.ErrorAs(t, err, new(study.Problems))
	_, err = s.AddCoating(t.Context(), study.NewID(), coating, store.Loading{})
	assert.ErrorIs(t, err, study.ErrNotFound)
}

// A coating on a patch and one that is put down stand in one list, each once.
func TestCoatingsOfPatchesToo(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "ONE")
	load(t, s, st, sample())
	for _, code := range []string{"ZINC", "FLEX-1"} {
		_, err := s.AddCoating(t.Context(), st.ID, study.Coating{ID: study.NewID(), Code: code}, store.Loading{})
		require.NoError(t, err)
	}
	list, err := s.Coatings(t.Context(), st.ID)
	require.NoError(t, err)
	var codes []string
	for _, c := range list {
		codes = append(codes, c.Code)
	}
	assert.Equal(t, []string{"BARE", "FLEX-1", "ZINC"}, codes)
}

// A shop that is put down can be given people before it has vehicles.
func TestAddShop(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one, other := addStudy(t, s, "ONE"), addStudy(t, s, "OTHER")
	north := study.Shop{ID: study.NewID(), Code: "NORTH"}
	for range 2 {
		_, err := s.AddShop(t.Context(), one.ID, north)
		require.NoError(t, err)
	}
	_, err := s.AddShop(t.Context(), other.ID, study.Shop{ID: study.NewID(), Code: "NORTH"})
	require.NoError(t, err)
	for _, st := range []study.Study{one, other} {
		list, err := s.Shops(t.Context(), st.ID)
		require.NoError(t, err)
		assert.Equal(t, []study.Shop{north}, list, "a code is one shop, whoever names it")
	}
	_, err = s.AddShop(t.Context(), one.ID, study.Shop{ID: study.NewID(), Code: " "})
	assert.ErrorAs(t, err, new(study.Problems))
}
