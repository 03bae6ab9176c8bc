package web

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// Of how many shops, sites and coatings a large study is.
const (
	largeShops    = 20
	largeSites    = 12
	largeCoatings = 5
)

// addLarge adds a study of so many vehicles with two panels each, which are
// read at two stages at so many checkups. Every other vehicle waits for a
// decision on what a second log said of it.
func (x *site) addLarge(t testing.TB, code string, vehicles, checkups int) (study.Study, study.Fleet) {
	t.Helper()
	large := study.Study{ID: study.NewID(), Code: code, Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), large))
	f := largeFleet(vehicles, checkups)
	_, err := x.db.Load(t.Context(), large.ID, f, nil)
	require.NoError(t, err)
	other := f
	other.Vehicles = nil
	for i := 0; i < len(f.Vehicles); i += 2 {
		v := f.Vehicles[i]
		v.Note, v.Checkups, v.Care = "read otherwise", nil, nil
		other.Vehicles = append(other.Vehicles, v)
	}
	loaded, err := x.db.Load(t.Context(), large.ID, other, nil)
	require.NoError(t, err)
	require.Equal(t, len(other.Vehicles), loaded.Proposed)
	return large, f
}

// pagesOfStudy are the pages that somebody turns in the study LARGE, by name.
func pagesOfStudy() map[string]string {
	pages := map[string]string{"studies": "/"}
	for name, rest := range map[string]string{
		"home": "", "due": "/due", "due ahead": "/due?ahead=90", "vehicles": "/vehicles", "vehicles after": "/vehicles?after=V01000",
		"search": "/vehicles?search=99", "vehicle": "/vehicles/V00980", "coatings": "/coatings", "climates": "/climates", "rules": "/rules",
		"records": "/records", "records accepted": "/records?state=accepted", "people": "/people", "letters": "/vehicles/V00980/letters",
		"photos": "/vehicles/V00980/photos", "letters due": "/letters", "bay": "/bay",
		"bay vehicle": "/bay/V00980", "bay.json": "/bay.json",
	} {
		pages[name] = "/studies/LARGE" + rest
	}
	return pages
}

// largeFleet is an invented fleet whose angles fall and scatter, each vehicle
// followed up to a day of the three months before tests' day: some are due.
func largeFleet(vehicles, checkups int) study.Fleet {
	f := study.Fleet{}
	random := rand.New(rand.NewPCG(1, 2))
	for i := range largeShops {
		f.Shops = append(f.Shops, study.Shop{ID: study.NewID(), Code: fmt.Sprintf("SHOP%02d", i)})
	}
	for i := range largeSites {
		f.Sites = append(f.Sites, study.Site{ID: study.NewID(), Code: fmt.Sprintf("SITE%02d", i), Name: "a town",
			LatitudeDeg: 44 + float64(i), LongitudeDeg: 8, Koppen: "Cfb"})
	}
	for i := range largeCoatings {
		f.Coatings = append(f.Coatings, study.Coating{ID: study.NewID(), Code: fmt.Sprintf("FLEX-%d", i), Name: "house flexible"})
	}
	f.People = []study.Person{{ID: study.NewID(), Code: "KW"}, {ID: study.NewID(), Code: "MB"}}
	for i := range vehicles {
		f.Vehicles = append(f.Vehicles, largeVehicle(f, i, checkups, random))
	}
	return f
}

// daysBetween is how far apart the checkups of a large fleet are.
const daysBetween = 30

func largeVehicle(f study.Fleet, i, checkups int, random *rand.Rand) study.Vehicle {
	last := study.DayOf(2025, 6, 1) - study.Day(1+i%90)
	v := study.Vehicle{ID: study.NewID(), Code: fmt.Sprintf("V%05d", i), SiteID: f.Sites[i%largeSites].ID, ShopID: &f.Shops[i%largeShops].ID,
		Enrolled: last - study.Day(daysBetween*checkups), Garage: study.Carport}
	for j, code := range []string{"RF", "LD"} {
		v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: code, CoatingID: f.Coatings[(i+j)%largeCoatings].ID,
			Panel: []string{"roof", "left door"}[j], Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss, Applied: v.Enrolled})
	}
	perMonth := 0.02 + 0.01*float64(i%largeCoatings) + 0.01*random.Float64()
	floor := 60 + 40*random.Float64() // some never come down to the threshold
	for j := range checkups {
		c := study.Checkup{ID: study.NewID(), Day: v.Enrolled + study.Day(daysBetween*(j+1)), OperatorID: &f.People[i%2].ID}
		angle := floor + (110-floor)*math.Exp(-perMonth*float64(j))
		for _, p := range v.Patches {
			for stage, film := range map[study.Stage]float64{study.Washed: 4, study.Decon: 0} {
				r := study.Reading{PatchID: p.ID, Stage: stage}
				for range 3 {
					r.AnglesDeg = append(r.AnglesDeg, math.Round(10*(angle-film+2*random.NormFloat64()))/10)
				}
				c.Readings = append(c.Readings, r)
			}
		}
		v.Checkups = append(v.Checkups, c)
		kind := study.MaintenanceWash
		if j%5 == 4 {
			kind = study.DeconWash
		}
		v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: c.Day, Kind: kind})
	}
	return v
}
