package study

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// fleetOf is a fleet of one vehicle, whose patches have the same coating.
func fleetOf(v Vehicle) *Fleet {
	coating := Coating{ID: NewID(), Code: "K-20"}
	for i := range v.Patches {
		v.Patches[i].CoatingID = coating.ID
	}
	return &Fleet{Coatings: []Coating{coating}, Vehicles: []Vehicle{v}}
}

func noSalt(Site) SaltSeason { return SaltSeason{} }

func planned() Study { return Study{Protocol: DefaultProtocol(), CarePlan: DefaultCarePlan()} }

// TestDue goes through the rules of what is due, which are the project's own;
// the intervals are common practice, no source. Days are days of service; the
// day asked about is the last of each case.
func TestDue(t *testing.T) {
	const salted = true
	for _, c := range []struct {
		name    string
		history []string
		on      int
		salt    bool     // October to March, service beginning on 4 October
		want    []string // "kind since", the most pressing first
	}{
		{"nothing yet", []string{"20 washed 110"}, 30, false, nil},
		{"never read, a month on", nil, 30, false, []string{"checkup 30"}},
		{"an interval ends on its last day", []string{"10 arrival 110", "20 care maintenance_wash"}, 64, false, nil},
		{"and the day after it is due", []string{"10 arrival 110", "20 care maintenance_wash"}, 65, false, []string{"maintenance_wash 65"}},
		{"a reading after the wash shows the wash", []string{"20 washed 110"}, 64, false, nil},
		{"a decon wash is an iron remover and a wash", []string{"100 decon 110"}, 144, false, nil},
		{"an iron remover is no decon wash", []string{"100 washed 110", "100 care iron_remover"}, 165, false,
			[]string{"decon_wash 165"}},
		{"what a decon wash brings isn't asked for beside it", []string{"20 washed 110"}, 200, false,
			[]string{"decon_wash 165", "checkup 110"}},
		{"before the decon wash is due, the iron remover is", []string{"80 washed 110"}, 120, false, []string{"iron_remover 105"}},
		{"in the salt season it is due sooner", []string{"80 washed 110"}, 90, salted, []string{"decon_wash 90"}},
		{"and once more when that is over: 1 April", []string{"150 washed 110", "140 care decon_wash"}, 179, salted, []string{"decon_wash 179"}},
		{"unless there was one in the month before", []string{"150 decon 110"}, 179, salted, nil},
		{"doubt comes first, and its decon wash does for all", []string{"20 washed 110", "170 washed 80"}, 200, false,
			[]string{"second_reading 170"}},
		{"doubt is as old as its first fail", []string{"20 washed 110", "50 arrival 80", "60 washed 80"}, 61, false, []string{"second_reading 50"}},
		{"a pass ends it", []string{"20 washed 110", "50 arrival 80", "60 washed 95"}, 61, false, nil},
		{"and new doubt is new", []string{"20 washed 110", "50 arrival 80", "60 washed 95", "63 arrival 80"}, 64, false, []string{"second_reading 63"}},
		{"a clean fail awaits its confirmation", []string{"20 washed 110", "60 decon 80"}, 61, false, []string{"confirmation 60"}},
		{"also when it was seen unclean since", []string{"20 washed 110", "60 decon 80", "70 arrival 75"}, 71, false, []string{"confirmation 60"}},
		{"a spent coating is due for nothing", []string{"20 washed 110", "60 decon 80", "70 decon 75"}, 200, false, nil},
		{"nor is one that is gone", []string{"20 washed 110", "60 care sold"}, 200, false, nil},
		{"a topped patch has left the study but is cared for", []string{"20 decon 110", "30 care topper"}, 125, false,
			[]string{"iron_remover 125", "maintenance_wash 65"}},
		{"doubt of a topped patch is no question of the study", []string{"20 decon 110", "30 care topper", "40 arrival 80"}, 60, false, nil},
		{"silence for a year is asked after, nothing else", []string{"20 washed 110", "30 arrival 80"}, 395, false, []string{"contact 395"}},
		{"what is recorded later isn't known yet", []string{"20 washed 110", "70 care maintenance_wash"}, 66, false, []string{"maintenance_wash 65"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, _ := history(t, c.history...)
			salt := noSalt
			if c.salt {
				salt = func(Site) SaltSeason { return winter() }
			}
			got := fleetOf(v).DueIn(planned(), salt, Horizon{On: service + Day(c.on)})
			assert.Equal(t, c.want, dueWords(got))
		})
	}
}

func winter() SaltSeason { return SaltSeason{0: true, 1: true, 2: true, 9: true, 10: true, 11: true} }

// dueWords are the kinds and days of service of the first vehicle.
func dueWords(list []VehicleDue) (words []string) {
	if len(list) > 0 {
		for _, d := range list[0].Due {
			words = append(words, fmt.Sprintf("%s %d", d.Kind, d.Since-service))
		}
	}
	return words
}

func TestDueAhead(t *testing.T) {
	v, _ := history(t, "20 washed 110")
	fleet := fleetOf(v)
	assert.Empty(t, fleet.DueIn(planned(), noSalt, Horizon{On: service + 60, Ahead: 4}))
	assert.Equal(t, []string{"maintenance_wash 65"}, dueWords(fleet.DueIn(planned(), noSalt, Horizon{On: service + 60, Ahead: 5})))
}

func TestDueUnderAnEmptyPlan(t *testing.T) {
	v, _ := history(t, "20 washed 110", "50 arrival 80")
	st := planned()
	st.CarePlan = CarePlan{}
	assert.Equal(t, []string{"second_reading 50"}, dueWords(fleetOf(v).DueIn(st, winterEverywhere, Horizon{On: service + 300})))
}

func winterEverywhere(Site) SaltSeason { return winter() }

// Care of one patch is not care of the others, and each kind names the patches
// that it is for.
func TestDueNamesPatches(t *testing.T) {
	v, patch := history(t, "20 washed 110")
	other := patch
	other.ID, other.Code = NewID(), "P2"
	v.Patches = append(v.Patches, other)
	v.read(service+20, Reading{PatchID: other.ID, Stage: Washed, AnglesDeg: []float64{110}})
	v.Care = append(v.Care, Care{ID: NewID(), Day: service + 60, Kind: MaintenanceWash, PatchID: &other.ID})
	list := fleetOf(v).DueIn(planned(), noSalt, Horizon{On: service + 70})
	require.Len(t, list, 1)
	assert.Equal(t, []Due{{DueWash, service + 65, "every 45 days; last on " + (service + 20).String(), []string{"P1"}}}, list[0].Due)
	assert.Len(t, list[0].Watched, 2)
	assert.Equal(t, service+110, *list[0].NextCheckup)
}

// The bare reference is due for nothing.
func TestDueLeavesControlsOut(t *testing.T) {
	v, _ := history(t, "20 washed 60")
	fleet := fleetOf(v)
	fleet.Coatings[0].Control = true
	assert.Empty(t, fleet.DueIn(planned(), noSalt, Horizon{On: service + 300}))
}

// The most urgent vehicle comes first: doubt, then confirmation, then care by
// how long it has been due, silence last.
func TestDueOrder(t *testing.T) {
	fleet := &Fleet{}
	for code, lines := range map[string][]string{
		"A": {"20 washed 110"}, // silent
		"B": {"320 washed 110", "320 care decon_wash"},
		"C": {"300 washed 110", "300 care decon_wash"},
		"D": {"20 washed 110", "380 decon 80"},
		"E": {"20 washed 110", "390 washed 80"},
	} {
		v, _ := history(t, lines...)
		v.Code = code
		one := fleetOf(v)
		fleet.Coatings = append(fleet.Coatings, one.Coatings...)
		fleet.Vehicles = append(fleet.Vehicles, one.Vehicles...)
	}
	order := ""
	for _, v := range fleet.DueIn(planned(), noSalt, Horizon{On: service + 395}) {
		order += v.Vehicle.Code
	}
	assert.Equal(t, "EDCBA", order)
}

// What is due stays due until something is recorded; looking at it changes
// nothing in the fleet.
func TestDueStaysDue(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		v, _ := history(t)
		for range rapid.IntRange(0, 6).Draw(r, "records") {
			day := service + Day(rapid.IntRange(0, 300).Draw(r, "day"))
			v.Care = append(v.Care, Care{ID: NewID(), Day: day, Kind: rapid.SampledFrom([]CareKind{MaintenanceWash, IronRemover, DeconWash, Clay}).Draw(r, "kind")})
			v.Checkups = append(v.Checkups, Checkup{ID: NewID(), Day: day, Readings: []Reading{{PatchID: v.Patches[0].ID,
				Stage: rapid.SampledFrom(Stages()).Draw(r, "stage"), AnglesDeg: []float64{rapid.SampledFrom([]float64{80, 100}).Draw(r, "angle")}}}})
		}
		fleet := fleetOf(v)
		before := fmt.Sprintf("%+v", fleet.Vehicles)
		on := service + Day(rapid.IntRange(300, 600).Draw(r, "on"))
		now := fleet.DueIn(planned(), winterEverywhere, Horizon{On: on})
		later := fleet.DueIn(planned(), winterEverywhere, Horizon{On: on + 1})
		assert.Equal(r, before, fmt.Sprintf("%+v", fleet.Vehicles))
		if len(now) == 0 {
			return
		}
		require.Len(r, later, 1)
		if later[0].Due[0].Kind == DueContact {
			return // from then on only that is asked
		}
		since := map[DueKind]Day{}
		for _, d := range later[0].Due {
			since[d.Kind] = d.Since
			assert.LessOrEqual(r, d.Since, on+1)
		}
		for _, d := range now[0].Due {
			if at, still := since[d.Kind]; still {
				assert.Equal(r, d.Since, at, "%s", d.Kind)
			} else {
				assert.Contains(r, []DueKind{DueIronRemover, DueWash}, d.Kind, "only a decon wash takes work off the list")
			}
		}
	})
}

func TestSaltSeason(t *testing.T) {
	day := func(text string) Day {
		d, err := ParseDay(text)
		require.NoError(t, err)
		return d
	}
	s := winter()
	for from, want := range map[string]string{"2025-01-15": "2025-01-15", "2025-04-01": "2025-10-01", "2025-09-30": "2025-10-01"} {
		got, is := s.NextDay(day(from))
		assert.True(t, is)
		assert.Equal(t, day(want), got, from)
	}
	for from, want := range map[string]string{"2025-01-15": "2025-04-01", "2025-03-31": "2025-04-01", "2025-04-01": "2026-04-01", "2025-12-31": "2026-04-01"} {
		got, is := s.NextEnd(day(from))
		assert.True(t, is)
		assert.Equal(t, day(want), got, from)
	}
	var all, none SaltSeason
	for m := range all {
		all[m] = true
	}
	_, is := none.NextDay(day("2025-01-01"))
	assert.False(t, is)
	for _, s := range []SaltSeason{none, all} {
		_, is = s.NextEnd(day("2025-01-01"))
		assert.False(t, is)
	}
	south := SaltSeason{time.June - 1: true, time.July - 1: true}
	got, is := south.NextEnd(day("2025-01-01"))
	assert.True(t, is)
	assert.Equal(t, day("2025-08-01"), got)
}

func TestCarePlanValidate(t *testing.T) {
	assert.Empty(t, DefaultCarePlan().Validate())
	assert.Empty(t, CarePlan{}.Validate(), "nothing need be asked for")
	bad := CarePlan{WashDays: 6, IronDays: -1, DeconDays: 1001, SaltDeconDays: 7, CheckupDays: 1000}
	var columns []string
	for _, p := range bad.Validate() {
		columns = append(columns, p.Column)
	}
	assert.Equal(t, []string{"wash_days", "iron_days", "decon_days"}, columns)
}
