package store_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// TestLoadAnyFleet: whatever valid fleet is loaded comes back as it was, and
// loading it again under other ids changes nothing.
func TestLoadAnyFleet(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	rapid.Check(t, func(r *rapid.T) {
		f := anyFleet(r)
		st := study.Study{ID: study.NewID(), Code: study.NewID().String(), Protocol: study.DefaultProtocol()}
		require.NoError(r, s.AddStudy(t.Context(), st))

		loaded, err := s.Load(t.Context(), st.ID, f, nil)
		require.NoError(r, err)
		require.Equal(r, store.Loaded{Added: f.Size()}, loaded)
		got, err := s.Fleet(t.Context(), st.ID)
		require.NoError(r, err)
		require.Equal(r, f, got)

		loaded, err = s.Load(t.Context(), st.ID, again(f), nil)
		require.NoError(r, err)
		assert.Equal(r, store.Loaded{Unchanged: f.Size()}, loaded)
	})
}

// anyFleet draws a valid fleet in the order in which the store returns it, with
// every coating, site and person in use. Its codes are its own.
func anyFleet(r *rapid.T) study.Fleet {
	f := study.Fleet{}
	own := study.NewID().String()[24:]
	for i := range rapid.IntRange(1, 3).Draw(r, "coatings") {
		f.Coatings = append(f.Coatings, study.Coating{ID: study.NewID(), Code: "C" + own + string(rune('a'+i)),
			Control: rapid.Bool().Draw(r, "control"), ClaimHighMonths: maybe(r, 0, 240), Note: anyText(r)})
	}
	f.Sites = []study.Site{{ID: study.NewID(), Code: "S" + own, LatitudeDeg: rapid.Float64Range(-90, 90).Draw(r, "latitude"),
		LongitudeDeg: rapid.Float64Range(-180, 180).Draw(r, "longitude"), AltitudeM: maybe(r, -430, 6000),
		Koppen:    rapid.SampledFrom(study.KoppenClasses()).Draw(r, "class"),
		MeanTempC: months(r, -70, 50), PrecipitationMM: months(r, 0, 5000), Name: anyText(r)}}
	f.People = []study.Person{{ID: study.NewID(), Code: "P" + own}}
	f.Shops = []study.Shop{{ID: study.NewID(), Code: "H" + own}}
	for i := range rapid.IntRange(1, 3).Draw(r, "vehicles") {
		f.Vehicles = append(f.Vehicles, anyVehicle(r, f, string(rune('a'+i))))
	}
	return f
}

func anyVehicle(r *rapid.T, f study.Fleet, code string) study.Vehicle {
	v := study.Vehicle{ID: study.NewID(), Code: code, SiteID: f.Sites[0].ID, Enrolled: anyDay(r),
		Garage:    rapid.SampledFrom(append(study.Garages(), study.GarageUnknown)).Draw(r, "garage"),
		KmPerYear: maybe(r, 0, 500_000), Note: anyText(r)}
	if code == "a" || rapid.Bool().Draw(r, "of a shop") {
		v.ShopID = &f.Shops[0].ID
	}
	for i, c := range f.Coatings {
		v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: string(rune('A' + i)), CoatingID: c.ID, Panel: "roof",
			Orientation: rapid.SampledFrom(study.Orientations()).Draw(r, "orientation"),
			Substrate:   rapid.SampledFrom(study.Substrates()).Draw(r, "substrate"),
			Finish:      rapid.SampledFrom(study.Finishes()).Draw(r, "finish"),
			Applied:     anyDay(r), Job: study.Job{KeepDryH: maybe(r, 0, 336), AirTempC: maybe(r, -20, 60)}})
	}
	days := rapid.SliceOfNDistinct(rapid.Custom(anyDay), 1, 4, rapid.ID[study.Day]).Draw(r, "days")
	slices.Sort(days)
	for _, day := range days {
		v.Checkups = append(v.Checkups, anyCheckup(r, v, f.People[0].ID, day))
		v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: day, OperatorID: &f.People[0].ID, Note: anyText(r),
			Kind: rapid.SampledFrom(study.CareKinds()).Draw(r, "kind"), PatchID: &v.Patches[0].ID})
	}
	return v
}

func anyCheckup(r *rapid.T, v study.Vehicle, operator study.ID, day study.Day) study.Checkup {
	c := study.Checkup{ID: study.NewID(), Day: day, Note: anyText(r)}
	if rapid.Bool().Draw(r, "operator known") {
		c.OperatorID = &operator
	}
	for _, p := range v.Patches {
		for _, stage := range study.Stages() {
			if rapid.Bool().Draw(r, "read") {
				c.Readings = append(c.Readings, study.Reading{PatchID: p.ID, Stage: stage,
					AnglesDeg:  rapid.SliceOfN(rapid.Float64Range(0, 180), 1, study.MostDrops).Draw(r, "angles"),
					SheetTimeS: maybe(r, 0, 3600), WetSharePct: maybe(r, 0, 100), Note: anyText(r)})
			}
		}
	}
	return c
}

func anyDay(r *rapid.T) study.Day {
	return rapid.Custom(func(r *rapid.T) study.Day {
		return study.Day(rapid.IntRange(int(day(1, 1, 1)), int(day(9999, 12, 31))).Draw(r, "day"))
	}).Draw(r, "date")
}

func anyText(r *rapid.T) string {
	return strings.ReplaceAll(rapid.String().Draw(r, "text"), "\x00", "")
}

func maybe(r *rapid.T, low, high float64) *float64 {
	return rapid.Ptr(rapid.Float64Range(low, high), true).Draw(r, "value")
}

func months(r *rapid.T, low, high float64) []float64 {
	if rapid.Bool().Draw(r, "no normals") {
		return nil
	}
	return rapid.SliceOfN(rapid.Float64Range(low, high), 12, 12).Draw(r, "normals")
}
