package web

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// demoStudy adds a study of the demo's fleet to a site.
func demoStudy(t testing.TB, x *site) {
	t.Helper()
	st := study.Study{ID: study.NewID(), Code: "DEMO", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), st))
	_, err := x.db.Load(t.Context(), st.ID, simulate.Fleet(simulate.Seed), nil)
	require.NoError(t, err)
}

// The page compares the coatings, says what would change the conclusion, and has
// a picture and the numbers behind it for each; it names no vehicle.
func TestCompare(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	demoStudy(t, x)
	page := x.as(t, "kw").settled("/studies/DEMO/compare")
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "What would change the conclusion")
	assert.Regexp(t, `CEDAR lasts 1\.[0-9]+ times as long as BIRCH`, page.body)
	assert.Contains(t, page.body, `<th scope="row">threshold 85°</th>`)
	assert.Contains(t, page.body, `id="compared-0-wide-title"`)
	assert.NotContains(t, page.body, ` style="`, "the content policy forbids it")
	assert.NotRegexp(t, `\b[QSDR]0[0-9]{2}\b`, page.body, "the codes of vehicles")
}

// A study in which nothing is coated has nothing to compare; where lives differ
// too plainly for a model, the log-rank test still tells.
func TestCompareOfLittle(t *testing.T) {
	t.Parallel()
	x := compared(t)
	require.NoError(t, x.db.AddStudy(t.Context(), study.Study{ID: study.NewID(), Code: "EMPTY", Protocol: study.DefaultProtocol()}))
	b := x.as(t, "kw")
	assert.Contains(t, b.settled("/studies/EMPTY/compare").body, "There are no two coatings to compare in this study yet.")
	assert.Contains(t, b.settled("/studies/S2/compare").body, "A lasts longer than B (log-rank")
}

// TestCompareInABrowser looks at the page with all that it may show.
func TestCompareInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	demoStudy(t, x)
	lookedAt(t, signedInBrowser(t, x, "kw"), x.url+"/studies/DEMO/compare", "compare-demo")
}
