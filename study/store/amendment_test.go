package store_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// amended is the sample with something changed in every kind of record, in
// amendments records altogether. All that it names, it still names.
func amended(f study.Fleet) study.Fleet {
	f = rewritten(f, func(*study.ID) {})
	f.Coatings[1].ClaimHighMonths = new(36.0)
	f.Sites[0].MeanTempC = nil
	v := &f.Vehicles[0]
	v.SiteID, f.Vehicles[1].SiteID = f.Vehicles[1].SiteID, v.SiteID
	v.Patches[0].Job.AirTempC = nil
	v.Patches[0].CoatingID, v.Patches[1].CoatingID = v.Patches[1].CoatingID, v.Patches[0].CoatingID
	v.Checkups[0].Note = "sun"
	v.Checkups[0].Readings[1].SheetTimeS = new(13.0)
	v.Checkups[0].Readings[2].AnglesDeg = []float64{99.5, 101}
	v.Care[0].OperatorID, v.Care[1].OperatorID = nil, v.Care[0].OperatorID
	return f
}

const amendments = 11

func proposed(t *testing.T, s *store.Store, st study.Study) []study.Amendment {
	t.Helper()
	list, err := s.Amendments(t.Context(), st.ID, study.Proposed)
	require.NoError(t, err)
	return list
}

// TestLoadProposesAmendments: what a load says otherwise is shown field by
// field, and nothing stored changes.
func TestLoadProposesAmendments(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	other := again(amended(f))

	n := f.Size()
	want := study.Size{Coatings: n.Coatings - 1, Sites: n.Sites - 1, People: n.People, Checkups: n.Checkups - 1,
		Readings: n.Readings - 2}
	assert.Equal(t, store.Loaded{Unchanged: want, Proposed: amendments}, loadWhole(t, s, st, other))
	assert.Equal(t, store.Loaded{Unchanged: want, ProposedBefore: amendments}, loadWhole(t, s, st, other), "not proposed twice")
	assert.Equal(t, f, fleetOf(t, s, st))

	got := map[string][]study.Change{}
	for _, a := range proposed(t, s, st) {
		got[a.Record] = a.Changes
		shared := a.Record == "coating FLEX-1" || a.Record == "site COAST"
		assert.Equal(t, shared, a.VehicleID == nil, a.Record)
		assert.Equal(t, study.Proposed, a.State)
		assert.NotZero(t, a.ProposedAt)
	}
	assert.Equal(t, map[string][]study.Change{
		"coating FLEX-1":            {{Field: "claim_high_months", Before: "24", After: "36"}},
		"site COAST":                {{Field: "mean_temp_c", Before: "[1.5, 2, 5, 9, 13, 16, 18, 17.5, 14, 10, 5, -2.25]", After: "[]"}},
		"V001":                      {{Field: "site", Before: "COAST", After: "INLAND"}},
		"V002":                      {{Field: "site", Before: "INLAND", After: "COAST"}},
		"V001 P1":                   {{Field: "air_temp_c", Before: "19.5"}, {Field: "coating", Before: "FLEX-1", After: "BARE"}},
		"V001 P2":                   {{Field: "coating", Before: "BARE", After: "FLEX-1"}},
		"V001 2024-09-01":           {{Field: "note", Before: "rain", After: "sun"}},
		"V001 2024-09-01 washed P1": {{Field: "sheet_time_s", Before: "12.5", After: "13"}},
		"V001 2024-09-01 decon P1":  {{Field: "angles_deg", Before: "[]", After: "[99.5, 101]"}},
		"V001 2024-09-01 topper":    {{Field: "operator", Before: "ZÖ"}},
		"V001 2024-09-01 topper P1": {{Field: "operator", After: "ZÖ"}},
	}, got)
}

// TestAccept: once all amendments are accepted, the records say what the other
// log says, and each amendment still tells what they said before.
func TestAccept(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	loadWhole(t, s, st, amended(f))
	before := proposed(t, s, st)

	for _, a := range before {
		require.NoError(t, s.Accept(t.Context(), a.ID, "LEAD", "typed wrong"), a.Record)
	}
	assert.Equal(t, amended(f), fleetOf(t, s, st))
	assert.Equal(t, store.Loaded{Unchanged: f.Size()}, loadWhole(t, s, st, amended(f)))
	assert.Empty(t, proposed(t, s, st))

	all, err := s.Amendments(t.Context(), st.ID, study.Accepted)
	require.NoError(t, err)
	require.Len(t, all, len(before))
	for i, a := range all {
		assert.Equal(t, before[i].Changes, a.Changes)
		assert.Equal(t, "LEAD", a.DecidedBy)
		assert.Equal(t, "typed wrong", a.DecidedWhy)
		require.NotNil(t, a.DecidedAt)
		assert.False(t, a.DecidedAt.Before(a.ProposedAt))
	}
	require.ErrorIs(t, s.Accept(t.Context(), all[0].ID, "LEAD", ""), study.ErrDecided)
	require.ErrorIs(t, s.Decline(t.Context(), all[0].ID, "LEAD", ""), study.ErrDecided)
}

// A correction that was accepted may be corrected back, and forth again:
// neither is taken for something that was settled before.
func TestAcceptThereAndBack(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	for _, log := range []study.Fleet{amended(f), f, amended(f)} {
		assert.Equal(t, amendments, loadWhole(t, s, st, log).Proposed)
		for _, a := range proposed(t, s, st) {
			require.NoError(t, s.Accept(t.Context(), a.ID, "LEAD", ""))
		}
		assert.Equal(t, log, fleetOf(t, s, st))
	}
}

func TestDecline(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	loadWhole(t, s, st, amended(f))
	for _, a := range proposed(t, s, st) {
		require.NoError(t, s.Decline(t.Context(), a.ID, "LEAD", "the paper says otherwise"))
	}
	assert.Equal(t, f, fleetOf(t, s, st))
	again := loadWhole(t, s, st, amended(f))
	assert.Zero(t, again.Proposed, "what was declined isn't proposed again")
	assert.Equal(t, amendments, again.ProposedBefore)

	another := amended(f)
	another.Vehicles[0].Checkups[0].Readings[1].SheetTimeS = new(14.0)
	assert.Equal(t, 1, loadWhole(t, s, st, another).Proposed, "another value is another proposal")
}

// Of two corrections of one value only one can be accepted.
func TestAcceptConflict(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	for _, seconds := range []float64{13, 14} {
		log := rewritten(f, func(*study.ID) {})
		log.Vehicles[0].Checkups[0].Readings[1].SheetTimeS = &seconds
		require.Equal(t, 1, loadWhole(t, s, st, log).Proposed)
	}
	both := proposed(t, s, st)
	require.Len(t, both, 2)
	require.NoError(t, s.Accept(t.Context(), both[0].ID, "LEAD", ""))

	err := s.Accept(t.Context(), both[1].ID, "LEAD", "")
	var conflict *study.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, "V001 2024-09-01 washed P1", conflict.Record)
	assert.Equal(t, []study.Change{{Field: "sheet_time_s", Before: "12.5", After: "13"}}, conflict.Changed)
	assert.Len(t, proposed(t, s, st), 1, "it stays for somebody to decline")
	require.NoError(t, s.Decline(t.Context(), both[1].ID, "LEAD", ""))
}

func TestDecideRefuses(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	loadWhole(t, s, st, amended(f))
	for _, decide := range []func(study.ID, string) error{
		func(id study.ID, by string) error { return s.Accept(t.Context(), id, by, "") },
		func(id study.ID, by string) error { return s.Decline(t.Context(), id, by, "") },
	} {
		require.ErrorIs(t, decide(study.NewID(), "LEAD"), study.ErrNotFound)
		var problems study.Problems
		require.ErrorAs(t, decide(proposed(t, s, st)[0].ID, "not a code"), &problems)
	}
	assert.Len(t, proposed(t, s, st), amendments)
}

// Two amendments that are fine alone may not be fine together.
func TestAcceptKeepsToTheLimits(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	lower, higher := rewritten(f, func(*study.ID) {}), rewritten(f, func(*study.ID) {})
	lower.Coatings[1].ClaimHighMonths = new(13.0)
	higher.Coatings[1].ClaimLowMonths = new(23.0)
	load(t, s, st, lower)
	load(t, s, st, higher)
	both := proposed(t, s, st)
	require.NoError(t, s.Accept(t.Context(), both[0].ID, "LEAD", ""))

	var problems study.Problems
	require.ErrorAs(t, s.Accept(t.Context(), both[1].ID, "LEAD", ""), &problems)
	assert.Equal(t, study.Problems{{Column: "claim_high_months", Want: "expected no less than claim_low_months"}}, problems)
	assert.Equal(t, lower, fleetOf(t, s, st))
}

// Amendments of vehicles are their study's; those of coatings are everybody's.
func TestAmendmentsOfAStudy(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one, two := addStudy(t, s, "S1"), addStudy(t, s, "S2")
	f := sample()
	load(t, s, one, f)
	loadWhole(t, s, one, amended(f))

	var seen []string
	for _, a := range proposed(t, s, two) {
		seen = append(seen, a.Record)
	}
	slices.Sort(seen)
	assert.Equal(t, []string{"coating FLEX-1", "site COAST"}, seen)
	all, err := s.Amendments(t.Context(), one.ID, "")
	require.NoError(t, err)
	assert.Len(t, all, amendments)
}
