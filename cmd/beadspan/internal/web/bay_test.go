package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// sendJSON posts what a phone would.
func (b *browser) sendJSON(path string, body any) answer {
	b.t.Helper()
	text, err := json.Marshal(body)
	require.NoError(b.t, err)
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+path, strings.NewReader(string(text)))
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", "application/json")
	return b.ask(r)
}

// aVisit is one reading of V001 and a wash, on the day before the server's
// today.
func aVisit() sentVisit {
	return sentVisit{
		ID: study.NewID(), Vehicle: "V001", Day: study.DayOf(2025, time.May, 31),
		Readings: []sentReading{{Patch: "RF", Stage: study.Washed, AnglesDeg: []float64{101, 99.5, 103}}},
		Care:     []sentCare{{ID: study.NewID(), Kind: study.MaintenanceWash}},
	}
}

func resultOf(t *testing.T, a answer) taken {
	t.Helper()
	require.Equal(t, http.StatusOK, a.status, a.body)
	var got taken
	require.NoError(t, json.Unmarshal([]byte(a.body), &got))
	return got
}

// A visit is stored once, however often it is sent; with other content it
// waits for a decision.
func TestVisitIsStoredOnce(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "bay", study.Operator)
	b := x.as(t, "bay")
	visit := aVisit()
	assert.Equal(t, "stored", resultOf(t, b.sendJSON("/studies/S1/visits", visit)).Result)
	assert.Equal(t, "known", resultOf(t, b.sendJSON("/studies/S1/visits", visit)).Result)
	visit.Readings[0].AnglesDeg = []float64{88}
	for range 2 {
		got := resultOf(t, b.sendJSON("/studies/S1/visits", visit))
		assert.Equal(t, "proposed", got.Result)
		require.Len(t, got.Waiting, 1)
		assert.Equal(t, study.Change{Field: "angles_deg", Before: "[101, 99.5, 103]", After: "[88]"}, got.Waiting[0].Changes[0])
	}
	fleet, err := x.db.Fleet(t.Context(), x.study.ID)
	require.NoError(t, err)
	v := fleet.Vehicles[0]
	assert.Len(t, v.Checkups, 3)
	assert.Len(t, v.Care, 2)
	assert.Equal(t, visit.ID, v.Checkups[2].ID)
}

func TestVisitsThatAreRefused(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	b := x.as(t, "north")
	for name, c := range map[string]struct {
		change func(*sentVisit)
		status int
		says   string
	}{
		"another shop's": {func(v *sentVisit) { v.Vehicle = "V002" }, http.StatusNotFound, "no such page or record"},
		"no such":        {func(v *sentVisit) { v.Vehicle = "V999" }, http.StatusNotFound, "no such page or record"},
		"patch":          {func(v *sentVisit) { v.Readings[0].Patch = "XX" }, http.StatusUnprocessableEntity, "no such patch"},
		"angle":          {func(v *sentVisit) { v.Readings[0].AnglesDeg[0] = 181 }, http.StatusUnprocessableEntity, "angle_1_deg"},
		"stage":          {func(v *sentVisit) { v.Readings[0].Stage = "dirty" }, http.StatusUnprocessableEntity, "stage"},
		"care":           {func(v *sentVisit) { v.Care[0].Kind = "wax" }, http.StatusUnprocessableEntity, "kind"},
		"to come":        {func(v *sentVisit) { v.Day = study.DayOf(2025, time.June, 3) }, http.StatusUnprocessableEntity, "yet to come"},
		"1970":           {func(v *sentVisit) { v.Day = 0 }, http.StatusUnprocessableEntity, "since 2000"},
		"nothing":        {func(v *sentVisit) { v.Readings, v.Care = nil, nil }, http.StatusUnprocessableEntity, "nothing was logged"},
		"no id":          {func(v *sentVisit) { v.ID = study.ID{} }, http.StatusUnprocessableEntity, "no id"},
	} {
		visit := aVisit()
		c.change(&visit)
		a := b.sendJSON("/studies/S1/visits", visit)
		assert.Equal(t, c.status, a.status, name)
		assert.Contains(t, a.body, c.says, name)
		assert.Equal(t, "application/json", a.header.Get("Content-Type"), name)
	}
	unknown := b.sendJSON("/studies/S1/visits", map[string]any{"id": study.NewID(), "mileage": 5})
	assert.Equal(t, http.StatusUnprocessableEntity, unknown.status)
	assert.Contains(t, unknown.body, "mileage")
}

// A job adds a vehicle, and another a coating on it that is new.
func TestJobIsStored(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	b := x.as(t, "north")
	job := sentJob{ID: study.NewID(), Vehicle: "V100", Site: "COAST", Shop: "NORTH", Garage: study.Carport,
		Coating: "FLEX-1", CoatingID: study.NewID(), Applied: study.DayOf(2025, time.May, 30), Substrate: study.Film, Finish: study.Gloss,
		Patches: []sentPatch{{study.NewID(), "BN", "bonnet", study.Horizontal}, {study.NewID(), "LD", "left door", study.Vertical}},
		Job:     sentConditions{AirTempC: new(31.0)}}
	assert.Equal(t, "stored", resultOf(t, b.sendJSON("/studies/S1/jobs", job)).Result)
	assert.Equal(t, "known", resultOf(t, b.sendJSON("/studies/S1/jobs", job)).Result)

	second := job
	second.ID, second.Site, second.Shop, second.Coating, second.CoatingID = study.NewID(), "", "", "FLEX-2", study.NewID()
	second.Patches = []sentPatch{{study.NewID(), "RF", "roof", study.Horizontal}}
	assert.Equal(t, "stored", resultOf(t, b.sendJSON("/studies/S1/jobs", second)).Result)

	fleet, err := x.db.Fleet(t.Context(), x.study.ID)
	require.NoError(t, err)
	v := fleet.Vehicles[3]
	assert.Equal(t, job.ID, v.ID)
	assert.Equal(t, &x.fleet.Shops[0].ID, v.ShopID)
	require.Len(t, v.Patches, 3)
	assert.Equal(t, x.fleet.Coatings[0].ID, v.Patches[0].CoatingID, "the coating of that code, not one of that id")
	assert.Equal(t, second.CoatingID, v.Patches[2].CoatingID)
	assert.InDelta(t, 31, *v.Patches[0].Job.AirTempC, 0)

	for says, change := range map[string]func(*sentJob){
		"stored site":                func(j *sentJob) { j.Vehicle, j.Site = "V101", "MOON" },
		"shop of yours":              func(j *sentJob) { j.Vehicle, j.Shop = "V101", "SOUTH" },
		"another shop has a vehicle": func(j *sentJob) { j.Vehicle = "V002" },
		"at least one panel":         func(j *sentJob) { j.Patches = nil },
	} {
		bad := job
		change(&bad)
		a := b.sendJSON("/studies/S1/jobs", bad)
		assert.Equal(t, http.StatusUnprocessableEntity, a.status, says)
		assert.Contains(t, a.body, says)
	}
}

// What a phone takes along is of its person's shops only, and is sent again
// only when it has changed.
func TestKnownOnThePhone(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "south", study.Operator, "SOUTH")
	b := x.as(t, "south")
	var a answer
	require.Eventually(t, func() bool {
		a = b.get("/studies/S1/bay.json")
		return a.status == http.StatusOK
	}, 20*time.Second, 20*time.Millisecond)
	var known bayKnown
	require.NoError(t, json.Unmarshal([]byte(a.body), &known))
	var vehicles []bayVehicle
	require.NoError(t, json.Unmarshal(known.Vehicles, &vehicles))
	require.Len(t, vehicles, 1)
	assert.Equal(t, "V002", vehicles[0].Code)
	assert.Equal(t, study.Doubtful, vehicles[0].Patches[0].Standing)
	assert.Equal(t, []string{"V002"}, known.Due)
	assert.Equal(t, study.DueSecondReading, vehicles[0].Due[0].Kind)
	assert.Equal(t, []string{"RF"}, vehicles[0].Due[0].Patches)
	assert.Equal(t, []string{"SOUTH"}, known.Shops)
	assert.Equal(t, []bayNamed{{"COAST", "the <harbour>"}}, known.Sites)
	again := b.do(http.MethodGet, "/studies/S1/bay.json", nil, http.Header{"Have": {a.header.Get("Known")}})
	assert.Equal(t, http.StatusNoContent, again.status)
}

// The worker keeps every script of the bay, and has another version with any
// other asset.
func TestWorkerKeepsTheBay(t *testing.T) {
	a := &assets{byAddress: map[string]asset{}, addresses: map[string]string{"bay/a.js": "/1", "beadspan.css": "/2", "wait.js": "/3"}}
	first := newWorkerSetting(a)
	assert.Equal(t, []string{"/1", "/2"}, first.Assets)
	a.addresses["bay/a.js"] = "/4"
	assert.NotEqual(t, first.Version, newWorkerSetting(a).Version)
}
