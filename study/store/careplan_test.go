package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

func TestSetCarePlan(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := study.Study{ID: study.NewID(), Code: "S1", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, s.AddStudy(t.Context(), st))
	stored, err := s.StudyByCode(t.Context(), "S1")
	require.NoError(t, err)
	assert.Equal(t, st, stored)

	st.CarePlan = study.CarePlan{WashDays: 30, SaltDeconDays: 60, CheckupDays: 180} // no iron remover, no decon wash
	require.NoError(t, s.SetCarePlan(t.Context(), st.ID, st.CarePlan))
	all, err := s.Studies(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []study.Study{st}, all)

	var problems study.Problems
	require.ErrorAs(t, s.SetCarePlan(t.Context(), st.ID, study.CarePlan{CheckupDays: 3}), &problems)
	assert.Equal(t, "checkup_days", problems[0].Column)
	require.ErrorIs(t, s.SetCarePlan(t.Context(), study.NewID(), study.CarePlan{}), study.ErrNotFound)
}
