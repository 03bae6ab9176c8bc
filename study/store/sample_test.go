package store_test

import (
	"fmt"
	"log/slog"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
)

var quiet = slog.New(slog.DiscardHandler)

// addStudy stores a study for a test to load into.
func addStudy(t testing.TB, s *store.Store, code string) study.Study {
	t.Helper()
	st := study.Study{ID: study.NewID(), Code: code, Question: "how long?", Protocol: study.DefaultProtocol()}
	require.NoError(t, s.AddStudy(t.Context(), st))
	return st
}

func load(t testing.TB, s *store.Store, st study.Study, f study.Fleet) store.Loaded {
	t.Helper()
	loaded, err := s.Load(t.Context(), st.ID, f, nil)
	require.NoError(t, err)
	return loaded
}

func fleetOf(t testing.TB, s *store.Store, st study.Study) study.Fleet {
	t.Helper()
	f, err := s.Fleet(t.Context(), st.ID)
	require.NoError(t, err)
	return f
}

// sample is a small fleet that has every field filled somewhere and every
// optional field missing somewhere, in the order in which Fleet returns it.
func sample() study.Fleet {
	kw, zo := study.Person{ID: study.NewID(), Code: "KW"}, study.Person{ID: study.NewID(), Code: "ZÖ"}
	bare := study.Coating{ID: study.NewID(), Code: "BARE", Name: "uncoated", Control: true}
	flex := study.Coating{ID: study.NewID(), Code: "FLEX-1", Name: "house flexible", ClaimLowMonths: new(12.0),
		ClaimHighMonths: new(24.0), Note: "it's 100 % \"new\"; a line\nand another, a tab\t, a \\ and \\N"}
	months := []float64{1.5, 2, 5, 9, 13, 16, 18, 17.5, 14, 10, 5, -2.25}
	coast := study.Site{ID: study.NewID(), Code: "COAST", Name: "Küste", LatitudeDeg: 54.1, LongitudeDeg: -8.25,
		AltitudeM: new(3.0), Koppen: "Cfb", UVMJm2Year: new(120.5), FreezeThawDaysYear: new(40.0), MeanTempC: months,
		PrecipitationMM: []float64{60, 40, 50, 40, 50, 70, 80, 80, 70, 70, 70, 70}, Note: "salt"}
	inland := study.Site{ID: study.NewID(), Code: "INLAND", Koppen: "BWh"}

	first := study.Vehicle{ID: study.NewID(), Code: "V001", SiteID: coast.ID, Enrolled: day(2024, 3, 1),
		Garage: study.Carport, KmPerYear: new(15000.0), Note: "grey"}
	roof := study.Patch{ID: study.NewID(), Code: "P1", CoatingID: flex.ID, Panel: "roof", Orientation: study.Horizontal,
		Substrate: study.Film, Finish: study.Matte, Applied: day(2024, 2, 29), Note: "second try",
		Job: study.Job{Layers: new(2), LayerIntervalH: new(1.5), FlashS: new(90.0), AirTempC: new(19.5),
			HumidityPct: new(55.0), PrepAlcoholPct: new(15.0), KeepDryH: new(24.0), DaysToFirstWash: new(7.0)}}
	door := study.Patch{ID: study.NewID(), Code: "P2", CoatingID: bare.ID, Panel: "left door",
		Orientation: study.Vertical, Substrate: study.Paint, Finish: study.Gloss, Applied: day(2024, 2, 28)}
	first.Patches = []study.Patch{roof, door}
	first.Checkups = []study.Checkup{
		{ID: study.NewID(), Day: day(2024, 9, 1), Note: "rain", Readings: []study.Reading{
			{PatchID: roof.ID, Stage: study.Arrival, AnglesDeg: []float64{0, 180, 101.30000000000001}},
			{PatchID: roof.ID, Stage: study.Washed, SheetTimeS: new(12.5), Note: "wind"},
			{PatchID: roof.ID, Stage: study.Decon, WetSharePct: new(5.0)},
			{PatchID: door.ID, Stage: study.Arrival, BeadGrade: new(2)},
		}},
		{ID: study.NewID(), Day: day(2024, 9, 1), OperatorID: &kw.ID},
	}
	first.Care = []study.Care{
		{ID: study.NewID(), Day: day(2024, 9, 1), Kind: study.Topper, OperatorID: &zo.ID, Note: "spray"},
		{ID: study.NewID(), Day: day(2024, 9, 1), Kind: study.Topper, PatchID: &roof.ID},
	}
	second := study.Vehicle{ID: study.NewID(), Code: "V002", SiteID: inland.ID, Enrolled: day(2025, 1, 31)}
	return study.Fleet{
		Coatings: []study.Coating{bare, flex},
		Sites:    []study.Site{coast, inland},
		People:   []study.Person{kw, zo},
		Vehicles: []study.Vehicle{first, second},
	}
}

func day(year int, month time.Month, d int) study.Day { return study.DayOf(year, month, d) }

// again is the sample as a second reading of the same log has it: other ids,
// the same codes and days.
func again(f study.Fleet) study.Fleet {
	fresh := map[study.ID]study.ID{}
	other := func(id *study.ID) {
		if fresh[*id] == (study.ID{}) {
			fresh[*id] = study.NewID()
		}
		*id = fresh[*id]
	}
	return rewritten(f, other)
}

// many makes a fleet of that many vehicles, each with 3 patches read at 3
// stages at each of the checkups.
func many(vehicles, checkups int) study.Fleet {
	f := study.Fleet{
		Coatings: []study.Coating{{ID: study.NewID(), Code: "C1"}, {ID: study.NewID(), Code: "C2"}},
		Sites:    []study.Site{{ID: study.NewID(), Code: "S1", Koppen: "Cfb"}},
		People:   []study.Person{{ID: study.NewID(), Code: "KW"}},
	}
	for i := range vehicles {
		v := study.Vehicle{ID: study.NewID(), Code: fmt.Sprintf("V%05d", i), SiteID: f.Sites[0].ID, Enrolled: day(2024, 1, 1)}
		for j := range 3 {
			v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: fmt.Sprintf("P%d", j),
				CoatingID: f.Coatings[j%2].ID, Panel: "roof", Orientation: study.Horizontal, Substrate: study.Paint,
				Finish: study.Gloss, Applied: day(2024, 1, 1)})
		}
		for j := range checkups {
			c := study.Checkup{ID: study.NewID(), Day: v.Enrolled + study.Day(30*j+i%7), OperatorID: &f.People[0].ID}
			for _, p := range v.Patches {
				for _, stage := range study.Stages() {
					angle := 110 - float64(j) + float64(i%10)/7
					c.Readings = append(c.Readings, study.Reading{PatchID: p.ID, Stage: stage,
						AnglesDeg: []float64{angle, angle + 1.5, angle - 2}, WetSharePct: new(float64(j))})
				}
			}
			v.Checkups = append(v.Checkups, c)
			v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: c.Day, Kind: study.MaintenanceWash})
		}
		f.Vehicles = append(f.Vehicles, v)
	}
	return f
}
