package web

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// twoCoatings is a fleet of twenty vehicles, each with both coatings, read every
// 30 days until both are spent: A is spent between day 300 and 330 on every
// vehicle, B between day 90 and 120.
func twoCoatings() study.Fleet {
	f := testFleet()
	low, high := 12.0, 24.0
	f.Coatings = []study.Coating{
		{ID: study.NewID(), Code: "A", ClaimLowMonths: &low, ClaimHighMonths: &high},
		{ID: study.NewID(), Code: "B"},
	}
	f.Shops, f.People, f.Vehicles = nil, nil, nil
	for i := range 20 {
		v := study.Vehicle{ID: study.NewID(), Code: fmt.Sprintf("W%03d", i), SiteID: f.Sites[0].ID, Enrolled: study.DayOf(2024, 1, 1)}
		spentFrom := []int{330, 120}
		for j, c := range f.Coatings {
			v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: c.Code, CoatingID: c.ID, Panel: "roof",
				Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss, Applied: v.Enrolled})
			v.Patches[j].Job.KeepDryH = new(float64)
		}
		for day := 30; day <= 390; day += 30 {
			c := study.Checkup{ID: study.NewID(), Day: v.Enrolled + study.Day(day)}
			for j, p := range v.Patches {
				angle := 105.0
				if day >= spentFrom[j] {
					angle = 70
				}
				c.Readings = append(c.Readings, study.Reading{PatchID: p.ID, Stage: study.Decon, AnglesDeg: []float64{angle + float64(i%5)/10}})
			}
			v.Checkups = append(v.Checkups, c)
		}
		f.Vehicles = append(f.Vehicles, v)
	}
	return f
}

// compared is a site with a second study, of two coatings.
func compared(t testing.TB) *site {
	t.Helper()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	st := study.Study{ID: study.NewID(), Code: "S2", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), st))
	_, err := x.db.Load(t.Context(), st.ID, twoCoatings(), nil)
	require.NoError(t, err)
	return x
}

// The page tells which of two coatings lasts longer, and shows both of its
// plots and the numbers behind them.
func TestCoatings(t *testing.T) {
	t.Parallel()
	x := compared(t)
	page := x.as(t, "kw").settled("/studies/S2/coatings")
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "The maker says 12 to 24 months.")
	assert.Contains(t, page.body, `<th scope="row">A and B</th><td>20</td>`, "all twenty vehicles have both")
	assert.Regexp(t, `<th scope="row">A and B</th>(<td>.*?</td>){4}<td>A</td>`, page.body)
	assert.NotContains(t, page.body, ` style="`, "the content policy forbids it")
	assert.Contains(t, page.body, "Share of patches still hydrophobic")
}

// A study in which nothing is coated says what to do.
func TestCoatingsOfNothing(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	require.NoError(t, x.db.AddStudy(t.Context(), study.Study{ID: study.NewID(), Code: "EMPTY", Protocol: study.DefaultProtocol()}))
	b := x.as(t, "kw")
	assert.Contains(t, b.settled("/studies/EMPTY/coatings").body, "Log a coating job in the bay")
	assert.Contains(t, b.settled("/studies/EMPTY/climates").body, "No vehicle is followed in this study yet.")
	assert.Contains(t, b.settled("/studies/EMPTY/due").body, "Nothing of the kind is due.")
}

// The page names every site that vehicles live at, and whose data it rests on.
func TestClimates(t *testing.T) {
	t.Parallel()
	x := compared(t)
	page := x.as(t, "kw").settled("/studies/S2/climates")
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, `<th scope="row">COAST</th>`)
	assert.Contains(t, page.body, "Cfb")
	assert.Contains(t, page.body, "Where the climate data come from")
	assert.NotContains(t, page.body, ` style="`)
}
