package web

import (
	"fmt"
	"net/http"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// BenchmarkPages asks for the pages of a study of 5,000 vehicles and 200,000
// readings, signed in, and reports the time within which 95 of 100 come.
func BenchmarkPages(b *testing.B) {
	br := atLarge(b, 10)
	br.settled("/studies/LARGE")
	for name, path := range map[string]string{
		"home": "/studies/LARGE", "vehicles": "/studies/LARGE/vehicles?after=V02500", "search": "/studies/LARGE/vehicles?search=499",
		"vehicle": "/studies/LARGE/vehicles/V04999",
	} {
		b.Run(name, func(b *testing.B) {
			reportP95(b, func() answer { return br.get(path) }, http.StatusOK)
		})
	}
}

// atLarge is the steward's browser at a site with the study LARGE, of 5,000
// vehicles.
func atLarge(b *testing.B, checkups int) *browser {
	b.Helper()
	x := newSite(b, Options{})
	x.steward(b, "kw")
	large := study.Study{ID: study.NewID(), Code: "LARGE", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(b, x.db.AddStudy(b.Context(), large))
	_, err := x.db.Load(b.Context(), large.ID, largeFleet(5000, checkups), nil)
	require.NoError(b, err)
	return x.as(b, "kw")
}

// reportP95 asks again and again, reports the time within which 95 of 100
// answers come, and returns the last of them.
func reportP95(b *testing.B, ask func() answer, want int) (last answer) {
	b.Helper()
	var took []time.Duration
	for b.Loop() {
		began := time.Now()
		if last = ask(); last.status != want {
			b.Fatal(last.status, last.body)
		}
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
	return last
}

// largeFleet has vehicles with two patches, read at two stages at each checkup.
func largeFleet(vehicles, checkups int) study.Fleet {
	f := testFleet()
	coating, site, shop := f.Coatings[0].ID, f.Sites[0].ID, f.Shops[0].ID
	f.Vehicles = nil
	for i := range vehicles {
		v := study.Vehicle{ID: study.NewID(), Code: fmt.Sprintf("V%05d", i), SiteID: site, ShopID: &shop, Enrolled: study.DayOf(2024, 1, 1)}
		for _, code := range []string{"RF", "LD"} {
			v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: code, CoatingID: coating, Panel: "roof",
				Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss, Applied: v.Enrolled})
		}
		for j := range checkups {
			c := study.Checkup{ID: study.NewID(), Day: v.Enrolled + study.Day(30*j+30)}
			for _, p := range v.Patches {
				for _, stage := range []study.Stage{study.Washed, study.Decon} {
					c.Readings = append(c.Readings, study.Reading{PatchID: p.ID, Stage: stage, AnglesDeg: []float64{max(20, 110-float64(j*(i%7))), 108, 109}})
				}
			}
			v.Checkups = append(v.Checkups, c)
		}
		f.Vehicles = append(f.Vehicles, v)
	}
	return f
}
