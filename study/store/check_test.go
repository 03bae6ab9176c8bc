package store_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// TestLoadRefuses breaks the sample in one way at a time: the problem says
// where, and nothing is stored.
func TestLoadRefuses(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	for name, c := range map[string]struct {
		spoil         func(*study.Fleet)
		place, column string
	}{
		"angle out of range": {func(f *study.Fleet) {
			f.Vehicles[0].Checkups[0].Readings[0].AnglesDeg[1] = 180.5
		}, "vehicle V001 2024-09-01 arrival", "angle_2_deg"},
		"angle no number": {func(f *study.Fleet) {
			f.Vehicles[0].Checkups[0].Readings[0].AnglesDeg[1] = math.NaN()
		}, "vehicle V001 2024-09-01 arrival", "angle_2_deg"},
		"zero byte in a note": {func(f *study.Fleet) { f.Vehicles[0].Patches[0].Note = "a\x00b" }, "vehicle V001 patch P1", ""},
		"note not UTF-8":      {func(f *study.Fleet) { f.Sites[0].Note = "K\xfcste" }, "site COAST", ""},
		"day beyond the calendar": {func(f *study.Fleet) {
			f.Vehicles[0].Enrolled = 1 << 40
		}, "vehicle V001", "enrolled"},
		"coating code twice": {func(f *study.Fleet) { f.Coatings[0].Code = "FLEX-1" }, "coating FLEX-1", ""},
		"vehicle code twice": {func(f *study.Fleet) { f.Vehicles[1].Code = "V001" }, "vehicle V001", ""},
		"patch code twice":   {func(f *study.Fleet) { f.Vehicles[0].Patches[1].Code = "P1" }, "vehicle V001 patch P1", ""},
		"checkup twice": {func(f *study.Fleet) {
			f.Vehicles[0].Checkups[1].OperatorID = nil
		}, "vehicle V001 2024-09-01", ""},
		"reading twice": {func(f *study.Fleet) {
			f.Vehicles[0].Checkups[0].Readings[1].Stage = study.Arrival
		}, "vehicle V001 2024-09-01 arrival", ""},
		"care twice": {func(f *study.Fleet) { f.Vehicles[0].Care[1].PatchID = nil }, "vehicle V001 2024-09-01 topper", ""},
		"no id":      {func(f *study.Fleet) { f.People[0].ID = study.ID{} }, "person KW", "id"},
		"id twice":   {func(f *study.Fleet) { f.Vehicles[0].Care[1].ID = f.Vehicles[0].Care[0].ID }, "vehicle V001 2024-09-01 topper", "id"},
		// What the fleet names but doesn't hold, the database looks for.
		"unknown coating":  {func(f *study.Fleet) { f.Vehicles[0].Patches[0].CoatingID = study.NewID() }, "", "coating"},
		"unknown site":     {func(f *study.Fleet) { f.Vehicles[0].SiteID = study.NewID() }, "", "site"},
		"unknown operator": {func(f *study.Fleet) { f.Vehicles[0].Checkups[1].OperatorID = new(study.NewID()) }, "", "operator"},
		"unknown patch": {func(f *study.Fleet) {
			f.Vehicles[0].Checkups[0].Readings[0].PatchID = study.NewID()
		}, "", "patch"},
	} {
		f := sample()
		c.spoil(&f)
		_, err := s.Load(t.Context(), st.ID, f, nil)
		var problems study.Problems
		require.ErrorAs(t, err, &problems, name)
		require.Len(t, problems, 1, name)
		assert.Equal(t, c.place, problems[0].File, name)
		assert.Equal(t, c.column, problems[0].Column, name)
		assert.NotEmpty(t, problems[0].Want, name)
	}
	f := sample()
	assert.Equal(t, store.Loaded{Added: f.Size()}, load(t, s, st, f), "nothing of the refused fleets was stored")
}

// All problems come at once.
func TestLoadRefusesEverythingAtOnce(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	f.Sites[0].LatitudeDeg = 91
	f.Vehicles[0].Patches[0].Panel = ""
	f.Vehicles[0].Care[0].Kind = "waxed"
	_, err := s.Load(t.Context(), st.ID, f, nil)
	var problems study.Problems
	require.ErrorAs(t, err, &problems)
	assert.Len(t, problems, 3)
}
