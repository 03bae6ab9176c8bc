package store_test

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// bay is a study with one vehicle, and a checkup of its only patch that a phone
// is about to send.
type bay struct {
	*store.Store
	scope   store.Scope
	fleet   study.Fleet
	checkup study.Checkup
}

func newBay(t *testing.T) bay {
	t.Helper()
	x := bay{Store: storetest.New(t), fleet: twoShops(2)}
	st := addStudy(t, x.Store, "ONE")
	load(t, x.Store, st, x.fleet)
	x.scope = store.Scope{StudyID: st.ID, EveryShop: true}
	x.checkup = study.Checkup{ID: study.NewID(), Day: day(2026, 1, 9), Readings: []study.Reading{
		{PatchID: x.fleet.Vehicles[0].Patches[0].ID, Stage: study.Washed, AnglesDeg: []float64{101, 99.5, 103}},
	}}
	return x
}

func (x bay) log(t *testing.T, scope store.Scope, v study.Vehicle) (store.Logged, error) {
	t.Helper()
	return x.Log(t.Context(), scope, study.Fleet{Vehicles: []study.Vehicle{v}})
}

// send logs checkups of the first vehicle.
func (x bay) send(t *testing.T, checkups ...study.Checkup) store.Logged {
	t.Helper()
	logged, err := x.log(t, x.scope, study.Vehicle{Code: x.fleet.Vehicles[0].Code, Checkups: checkups})
	require.NoError(t, err)
	return logged
}

// stored is the first vehicle as it is stored.
func (x bay) stored(t *testing.T) study.Vehicle {
	t.Helper()
	f, err := x.VehicleByCode(t.Context(), x.scope, x.fleet.Vehicles[0].Code)
	require.NoError(t, err)
	return f.Vehicles[0]
}

// A phone whose first answer got lost sends again, and again.
func TestLogStoresOnce(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	before := len(x.stored(t).Checkups)
	assert.Equal(t, study.Size{Checkups: 1, Readings: 1}, x.send(t, x.checkup).Added)
	var phones sync.WaitGroup
	for range 4 {
		phones.Go(func() {
			again := x.send(t, x.checkup)
			assert.Zero(t, again.Added)
			assert.Empty(t, again.Waiting)
		})
	}
	phones.Wait()
	assert.Len(t, x.stored(t).Checkups, before+1)
	assert.Contains(t, x.stored(t).Checkups, x.checkup)
}

// The same id with other content changes nothing, and isn't lost.
func TestLogProposesWhatDiffers(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	x.send(t, x.checkup)
	other := x.checkup
	other.Readings = []study.Reading{x.checkup.Readings[0]}
	other.Readings[0].AnglesDeg = []float64{88}
	for range 2 {
		logged := x.send(t, other)
		require.Len(t, logged.Waiting, 1)
		assert.Equal(t, []study.Change{{Field: "angles_deg", Before: "[101, 99.5, 103]", After: "[88]"}}, logged.Waiting[0].Changes)
	}
	assert.Contains(t, x.stored(t).Checkups, x.checkup)
}

// Two phones read different patches of one vehicle on one day.
func TestLogTakesBothPhonesReadings(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	second := study.Checkup{ID: study.NewID(), Day: x.checkup.Day, Readings: []study.Reading{
		{PatchID: x.fleet.Vehicles[0].Patches[1].ID, Stage: study.Washed, BeadGrade: new(4)},
	}}
	x.send(t, x.checkup)
	assert.Equal(t, study.Size{Readings: 1}, x.send(t, second).Added)
	checkups := x.stored(t).Checkups
	assert.ElementsMatch(t, append(x.checkup.Readings, second.Readings...), checkups[len(checkups)-1].Readings)
}

// The account got an operator between the first try and the second.
func TestLogKeepsTheStoredOperator(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	x.send(t, x.checkup)
	again := x.checkup
	again.OperatorID = &x.fleet.People[0].ID
	assert.Zero(t, x.send(t, again).Added)
	again.Day++
	_, err := x.log(t, x.scope, study.Vehicle{Code: x.fleet.Vehicles[0].Code, Checkups: []study.Checkup{again}})
	var problems study.Problems
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, "day", problems[0].Column)
}

func TestLogAddsVehicles(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	old := x.fleet.Vehicles[0]
	fresh := study.Vehicle{ID: study.NewID(), Code: "NEW", SiteID: old.SiteID, Enrolled: day(2026, 1, 9), Patches: []study.Patch{old.Patches[0]}}
	fresh.Patches[0].ID = study.NewID()
	logged, err := x.log(t, x.scope, fresh)
	require.NoError(t, err)
	assert.Equal(t, study.Size{Vehicles: 1, Patches: 1}, logged.Added)
	f, err := x.VehicleByCode(t.Context(), x.scope, "NEW")
	require.NoError(t, err)
	assert.Equal(t, fresh, f.Vehicles[0])
}

func TestLogKeepsToItsScope(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	even := store.Scope{StudyID: x.scope.StudyID, ShopIDs: []study.ID{x.fleet.Shops[0].ID}}
	odd := x.fleet.Vehicles[1]
	var problems study.Problems

	_, err := x.log(t, even, study.Vehicle{Code: odd.Code, Checkups: []study.Checkup{x.checkup}})
	require.ErrorIs(t, err, study.ErrNotFound, "another shop's vehicle")
	_, err = x.log(t, even, study.Vehicle{Code: "NONE", Checkups: []study.Checkup{x.checkup}})
	require.ErrorIs(t, err, study.ErrNotFound)
	_, err = x.log(t, even, study.Vehicle{ID: study.NewID(), Code: odd.Code, SiteID: odd.SiteID, ShopID: &x.fleet.Shops[0].ID})
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, "code", problems[0].Column)
	_, err = x.log(t, even, study.Vehicle{ID: study.NewID(), Code: "NEW", SiteID: odd.SiteID, ShopID: &x.fleet.Shops[1].ID})
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, "shop", problems[0].Column)
}
