package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

func TestAmendStudy(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	a := study.Account{ID: study.NewID(), Name: "kw", Steward: true}
	require.NoError(t, s.AddFirstAccount(t.Context(), a))
	before := study.Study{ID: study.NewID(), Code: "S1", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, s.AddStudy(t.Context(), before))
	revision := func() int64 {
		access, err := s.AccessOf(t.Context(), a, "S1")
		require.NoError(t, err)
		return access.Revision
	}
	first := revision()
	after := before
	after.Question = "How long on film?"
	after.Protocol = study.Protocol{Metric: study.SheetTime, Threshold: 20, Confirm: 1, Estimand: study.AsMaintained,
		Claim: study.ClaimRule{LowPct: 70, HighPct: 5, ConfidencePct: 90}}
	after.CarePlan.IronDays = 0
	require.NoError(t, s.AmendStudy(t.Context(), before, after, a.ID, "the maker says so"))
	stored, err := s.StudyByCode(t.Context(), "S1")
	require.NoError(t, err)
	assert.Equal(t, after, stored)
	assert.Greater(t, revision(), first, "what was worked out under the former rules holds no more")

	changes, err := s.StudyChanges(t.Context(), before.ID)
	require.NoError(t, err)
	require.Len(t, changes, 1)
	assert.Equal(t, "kw", changes[0].By)
	assert.Equal(t, "the maker says so", changes[0].Why)
	assert.Equal(t, before.Differences(after), changes[0].Changes)

	// Whoever saw the former rules may not overwrite these.
	other := before
	other.Protocol.Confirm = 3
	require.ErrorIs(t, s.AmendStudy(t.Context(), before, other, a.ID, "x"), store.ErrStudyChanged)
	bad := after
	bad.Protocol.Threshold = 9999
	var problems study.Problems
	require.ErrorAs(t, s.AmendStudy(t.Context(), after, bad, a.ID, "x"), &problems)
	gone := before
	gone.ID = study.NewID()
	require.ErrorIs(t, s.AmendStudy(t.Context(), gone, after, a.ID, "x"), study.ErrNotFound)
	require.NoError(t, s.AmendStudy(t.Context(), after, after, a.ID, "nothing"))
	changes, err = s.StudyChanges(t.Context(), before.ID)
	require.NoError(t, err)
	assert.Len(t, changes, 1)
	assert.Greater(t, revision(), first)
}
