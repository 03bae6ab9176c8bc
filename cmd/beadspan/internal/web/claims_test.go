package web

import (
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// A is claimed to last 12 to 24 months and was spent within 330 days on all
// twenty vehicles: of such vehicles 17 % at most come to so much, 1 − 0.025^(1/20),
// where the rule asks for 80. Nothing is claimed of B.
func TestClaimsPage(t *testing.T) {
	t.Parallel()
	x := compared(t)
	b := x.as(t, "kw")
	page := b.settled("/studies/S2/claims")
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "A: the claim of 12 to 24 months is contradicted.")
	assert.Contains(t, page.body, `<p class="verdict contradicted">`)
	assert.NotContains(t, page.body, `<p class="verdict supported">`)
	assert.Contains(t, page.body, "A claim is supported when 80 % of panels outlast its lower end")
	assert.Contains(t, page.body, "not a warranty")
	assert.Contains(t, page.body, `id="claim-0-wide-title"`)
	assert.NotContains(t, page.body, "W001", "no vehicle is named")

	lines, err := csv.NewReader(strings.NewReader(b.get("/studies/S2/claims.csv").body)).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 1+2*2, "two ends, in all climates and in the one there is")
	assert.Equal(t, []string{"A", "", "contradicted", "low", "12"}, lines[1][:5])

	assert.Contains(t, b.settled("/studies/S1/claims").body, "No maker’s claim is recorded")
	for language, says := range map[string]string{"de": "Widerlegt", "fr": "Contredite"} {
		page := b.do("GET", "/studies/S2/claims", nil, map[string][]string{"Accept-Language": {language}})
		assert.True(t, strings.Contains(page.body, says), language)
	}
}

// Another rule, other verdicts: what is promised and how sure one must be are the
// study's.
func TestClaimsByTheStudysRule(t *testing.T) {
	t.Parallel()
	x := compared(t)
	rule := study.ClaimRule{LowPct: 1, HighPct: 1, ConfidencePct: 80}
	st := study.Study{ID: study.NewID(), Code: "LAX", Protocol: study.DefaultProtocol()}
	st.Protocol.Claim = rule
	require.NoError(t, x.db.AddStudy(t.Context(), st))
	f := twoCoatings()
	low := 6.0
	f.Coatings[0].Code, f.Coatings[1].Code = "C", "D" // A and B are known already
	f.Coatings[0].ClaimLowMonths, f.Coatings[0].ClaimHighMonths = &low, nil
	_, err := x.db.Load(t.Context(), st.ID, f, nil)
	require.NoError(t, err)
	page := x.as(t, "kw").settled("/studies/LAX/claims")
	assert.Contains(t, page.body, "A claim is supported when 1 % of panels outlast its lower end and 1 % its higher, by limits of 80 % confidence.")
	assert.Contains(t, page.body, "C: the claim of 6 months or more is supported.")
}

// TestClaimsInABrowser looks at the page with a verdict of each kind.
func TestClaimsInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	demoStudy(t, x)
	lookedAt(t, signedInBrowser(t, x, "kw"), x.url+"/studies/DEMO/claims", "claims-demo")
}
