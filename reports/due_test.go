package reports_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/reports"
	"beadspan/study"
)

// dueFleet is a fleet whose coating lasts exponentially, a mean of meanDays,
// read every 30 days until it was confirmed spent or the study ends; and one
// more vehicle, coated lately, that held when it was read on the 30th day.
func dueFleet(vehicles int, meanDays float64) (fleet study.Fleet, on study.Day) {
	const begin, weeks = study.Day(20_000), 1500
	random := rand.New(rand.NewPCG(7, 7))
	coating := study.Coating{ID: study.NewID(), Code: "K-20"}
	site := study.Site{ID: study.NewID(), Code: "HARBOUR", Koppen: "Cfb"}
	fleet = study.Fleet{Coatings: []study.Coating{coating}, Sites: []study.Site{site}}
	vehicle := func(code string, applied study.Day, life float64, until int) study.Vehicle {
		patch := study.Patch{ID: study.NewID(), Code: "P1", CoatingID: coating.ID, Applied: applied, Job: study.Job{KeepDryH: new(0.0)}}
		v := study.Vehicle{ID: study.NewID(), Code: code, SiteID: site.ID, Enrolled: applied, Patches: []study.Patch{patch}}
		fails := 0
		for day := 30; day <= until && fails < 2; day += 30 {
			angle := 110.0
			if float64(day) > life {
				angle = 70
				fails++
			}
			v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: applied + study.Day(day),
				Readings: []study.Reading{{PatchID: patch.ID, Stage: study.Decon, AnglesDeg: []float64{angle}}}})
		}
		return v
	}
	for i := range vehicles {
		fleet.Vehicles = append(fleet.Vehicles, vehicle(fmt.Sprintf("V%05d", i), begin, meanDays*random.ExpFloat64(), weeks))
	}
	on = begin + weeks + 30
	fleet.Vehicles = append(fleet.Vehicles, vehicle("NEW", on-120, math.Inf(1), 30))
	return fleet, on
}

func dueStudy() study.Study {
	return study.Study{Code: "S", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
}

func dueOptions(on study.Day) reports.DueOptions {
	return reports.DueOptions{Horizon: study.Horizon{On: on}, Salt: func(study.Site) study.SaltSeason { return study.SaltSeason{} }}
}

func rowOf(t *testing.T, list *reports.DueList, code string) reports.DueRow {
	t.Helper()
	for _, row := range list.Rows {
		if row.Vehicle.Code == code {
			return row
		}
	}
	require.Fail(t, "not due", code)
	return reports.DueRow{}
}

// For exponential lives the most telling look comes 1.5936 means after the last
// proof (see survival.InspectionInformation for the sources), and nine tenths
// of what it tells are had from 1.0036 means on. The mean is estimated from 800
// lives, so that the days are known to some 5 % of it, and tried by the week.
func TestCheckupThatTellsMost(t *testing.T) {
	const mean = 300
	fleet, on := dueFleet(800, mean)
	row := rowOf(t, reports.NewDue(dueStudy(), fleet, dueOptions(on)), "NEW")
	last := on - 90
	require.NotNil(t, row.Checkup.Best, row.Checkup.Why)
	assert.InDelta(t, 1.5936*mean, float64(*row.Checkup.Best-last), 0.1*1.5936*mean)
	assert.InDelta(t, 1.0036*mean, float64(*row.Checkup.From-last), 0.1*1.0036*mean)
	assert.InDelta(t, 0.6476, *row.Checkup.Lives, 0.005)
	assert.Equal(t, last+90, *row.Checkup.ByPlan)
}

func TestCheckupWhereTheFleetCannotTell(t *testing.T) {
	fleet, on := dueFleet(3, 100_000)
	row := rowOf(t, reports.NewDue(dueStudy(), fleet, dueOptions(on)), "NEW")
	assert.Nil(t, row.Checkup.Best)
	assert.Contains(t, row.Checkup.Why, "too few")
	assert.Equal(t, on, *row.Checkup.ByPlan, "the plain interval")

	// Enough are spent, but the best day lies beyond what was followed.
	fleet, on = dueFleet(400, 5000)
	row = rowOf(t, reports.NewDue(dueStudy(), fleet, dueOptions(on)), "NEW")
	assert.Nil(t, row.Checkup.Best)
	assert.Contains(t, row.Checkup.Why, "followed long enough")
}

// A patch in question is read at once.
func TestCheckupOfADoubtfulPatch(t *testing.T) {
	fleet, on := dueFleet(100, 300)
	v := &fleet.Vehicles[100]
	v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: on - 1,
		Readings: []study.Reading{{PatchID: v.Patches[0].ID, Stage: study.Arrival, AnglesDeg: []float64{60}}}})
	list := reports.NewDue(dueStudy(), fleet, dueOptions(on))
	assert.Equal(t, "NEW", list.Rows[0].Vehicle.Code)
	assert.Equal(t, study.DueSecondReading, list.Rows[0].Due[0].Kind)
	assert.Nil(t, list.Rows[0].Checkup.Best)
	assert.Equal(t, reports.DueCount{Kind: study.DueSecondReading, Vehicles: 1, Patches: 1}, list.Counts[0])
}

// Every line keeps to the width that was asked for, on a phone as well.
func TestDueTextKeepsItsWidth(t *testing.T) {
	fleet, on := dueFleet(60, 500)
	list := reports.NewDue(dueStudy(), fleet, dueOptions(on))
	for _, width := range []int{36, 44, 71, 72, 80, 100} {
		var out bytes.Buffer
		require.NoError(t, list.WriteText(&out, reports.DueText{Width: width, Most: 3}))
		for line := range strings.Lines(out.String()) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), width, "%d: %s", width, line)
		}
		assert.Contains(t, out.String(), "NEW")
		assert.Contains(t, strings.Join(strings.Fields(out.String()), " "), fmt.Sprintf("of %d vehicles due:", len(fleet.Vehicles)))
	}
	var out bytes.Buffer
	none := reports.NewDue(dueStudy(), study.Fleet{}, dueOptions(on))
	require.NoError(t, none.WriteText(&out, reports.DueText{Width: 80}))
	assert.Equal(t, "On "+on.String()+": nothing is due for any of 0 vehicles.\n", out.String())
}

func TestDueForMachines(t *testing.T) {
	fleet, on := dueFleet(60, 500)
	list := reports.NewDue(dueStudy(), fleet, dueOptions(on))
	var out bytes.Buffer
	require.NoError(t, list.WriteJSON(&out))
	var read struct {
		On   study.Day
		Rows []struct {
			Vehicle string
			Due     []study.Due
		} `json:"due_vehicles"`
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &read))
	assert.Equal(t, on, read.On)
	require.Len(t, read.Rows, len(list.Rows))
	things := 0
	for i, row := range list.Rows {
		assert.Equal(t, row.Vehicle.Code, read.Rows[i].Vehicle)
		assert.Equal(t, row.Due, read.Rows[i].Due)
		things += len(row.Due)
	}
	out.Reset()
	require.NoError(t, list.WriteCSV(&out))
	lines, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	assert.Len(t, lines, things+1)
}

// What is recorded after the day asked about isn't known on it.
func TestDueOfAPastDay(t *testing.T) {
	fleet, on := dueFleet(200, 500)
	past := on - 700
	known := *fleet.Until(past)
	assert.Less(t, known.Size().Checkups, fleet.Size().Checkups)
	assert.Len(t, known.Vehicles, 200, "the new one came later")
	want := reports.NewDue(dueStudy(), known, dueOptions(past))
	got := reports.NewDue(dueStudy(), fleet, dueOptions(past))
	var wanted, gotten bytes.Buffer
	require.NoError(t, want.WriteJSON(&wanted))
	require.NoError(t, got.WriteJSON(&gotten))
	assert.Equal(t, wanted.String(), gotten.String())
}

func TestDueAtOneSite(t *testing.T) {
	fleet, on := dueFleet(60, 500)
	elsewhere := study.Site{ID: study.NewID(), Code: "HILL", Koppen: "Cfb"}
	fleet.Sites = append(fleet.Sites, elsewhere)
	fleet.Vehicles[60].SiteID = elsewhere.ID
	options := dueOptions(on)
	options.Site = "HILL"
	list := reports.NewDue(dueStudy(), fleet, options)
	assert.Equal(t, 1, list.Vehicles)
	require.Len(t, list.Rows, 1)
	assert.Equal(t, "NEW", list.Rows[0].Vehicle.Code)
}

// BenchmarkNewDue is a fleet of 16,000 vehicles.
func BenchmarkNewDue(b *testing.B) {
	fleet, on := dueFleet(16_000, 300)
	for b.Loop() {
		reports.NewDue(dueStudy(), fleet, dueOptions(on))
	}
}
