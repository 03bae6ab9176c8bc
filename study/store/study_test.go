package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

func TestStudies(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	none, err := s.Studies(t.Context())
	require.NoError(t, err)
	assert.Empty(t, none)

	b := study.Study{ID: study.NewID(), Code: "b", Question: "do toppers help?", Protocol: study.Protocol{
		Metric: study.SheetTime, Threshold: 12.5, Confirm: 1, Estimand: study.AsMaintained,
		Claim: study.ClaimRule{LowPct: 90, HighPct: 25, ConfidencePct: 99}}}
	a := study.Study{ID: study.NewID(), Code: "a", Protocol: study.DefaultProtocol()}
	require.NoError(t, s.AddStudy(t.Context(), b))
	require.NoError(t, s.AddStudy(t.Context(), a))

	all, err := s.Studies(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []study.Study{a, b}, all)
	found, err := s.StudyByCode(t.Context(), "b")
	require.NoError(t, err)
	assert.Equal(t, b, found)
	_, err = s.StudyByCode(t.Context(), "B")
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestAddStudyRefuses(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	first := addStudy(t, s, "S1")
	for column, st := range map[string]study.Study{
		"code": {ID: study.NewID(), Code: "S1", Protocol: study.DefaultProtocol()},
		"id":   {ID: first.ID, Code: "S2", Protocol: study.DefaultProtocol()},
		"threshold": {ID: study.NewID(), Code: "S3", Protocol: study.Protocol{Metric: study.Angle, Threshold: 181, Confirm: 1, Estimand: study.ToTopper,
			Claim: study.DefaultClaimRule()}},
	} {
		var problems study.Problems
		require.ErrorAs(t, s.AddStudy(t.Context(), st), &problems, column)
		require.Len(t, problems, 1, column)
		assert.Equal(t, column, problems[0].Column)
	}
	all, err := s.Studies(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []study.Study{first}, all)
}
