package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

// setupTries has a line for each route of a study's beginning.
func setupTries() map[string]try {
	at := "/studies/S1/set-up"
	return map[string]try{
		"GET /new-study":                          {"/new-study", nil, http.StatusOK},
		"POST /new-study":                         {"/new-study", url.Values{"code": {""}}, http.StatusUnprocessableEntity},
		"GET /studies/{study}/set-up":             {at, nil, http.StatusOK},
		"POST /studies/{study}/set-up/coatings":   {at + "/coatings", url.Values{"code": {""}}, http.StatusUnprocessableEntity},
		"POST /studies/{study}/set-up/shops":      {at + "/shops", url.Values{"shop": {""}}, http.StatusUnprocessableEntity},
		"GET /studies/{study}/set-up/site":        {at + "/site", nil, http.StatusOK},
		"POST /studies/{study}/set-up/site":       {at + "/site", nil, http.StatusUnprocessableEntity},
		"GET /studies/{study}/set-up/cities.json": {at + "/cities.json?city=oul", nil, http.StatusOK},
	}
}

// emptySite is a server whose database nobody has used yet.
func emptySite(t *testing.T, opts Options) *site {
	t.Helper()
	opts.Store = storetest.New(t)
	x := startSite(t, opts)
	return x
}

// ruleForm is a form of rules as a browser sends it.
func ruleForm(st study.Study, more url.Values) url.Values {
	form := rules(&site{study: st})
	for name, values := range more {
		form[name] = values
	}
	return form
}

// An empty database leads whoever owns it to the first study, and that to what
// it needs.
func TestFirstStudy(t *testing.T) {
	t.Parallel()
	x := emptySite(t, Options{})
	x.steward(t, "kw")
	b := x.as(t, "kw")
	assert.Equal(t, "/new-study", b.get("/").header.Get("Location"))
	first := b.get("/new-study")
	assert.Contains(t, first.body, "Your first study")
	assert.Contains(t, first.body, `name="threshold" value="90"`, "a surface above 90° is called hydrophobic: ASTM D7334")

	form := ruleForm(usualStudy(), url.Values{"code": {"film-2026"}, "do": {"look"}, "confirm": {"1"}})
	look := b.post("/new-study", form)
	assert.Equal(t, http.StatusOK, look.status)
	assert.Contains(t, look.body, `value="film-2026"`)
	form.Set("do", "add")
	form.Set("threshold", "ninety")
	bad := b.post("/new-study", form)
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.body, "expected a number")
	assert.Contains(t, bad.body, `value="ninety"`, "the form comes back as typed")
	form.Set("threshold", "85")
	made := b.post("/new-study", form)
	assert.Equal(t, "/studies/film-2026/set-up", made.header.Get("Location"))
	st, err := x.db.StudyByCode(t.Context(), "film-2026")
	require.NoError(t, err)
	assert.Equal(t, 1, st.Protocol.Confirm)
	assert.InDelta(t, 85, st.Protocol.Threshold, 0)
	assert.Equal(t, study.DefaultCarePlan(), st.CarePlan)

	taken := b.post("/new-study", form)
	assert.Equal(t, http.StatusUnprocessableEntity, taken.status)
	assert.Contains(t, taken.body, "another study has this code")
	assert.Contains(t, b.get("/studies/film-2026/set-up").body, "To begin with")
}

// A coating that is put down can be chosen in the bay at once; sent again with
// other content it becomes a correction to decide on.
func TestAddAndCorrectCoating(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	x.member(t, "operator", study.Operator)
	owner, operator := x.as(t, "owner"), x.as(t, "operator")
	form := url.Values{"code": {"K-20"}, "name": {"house <glass>"}, "claim_low_months": {"12"}, "claim_high_months": {"24,5"}}
	added := owner.post("/studies/S1/set-up/coatings", form)
	require.Equal(t, http.StatusSeeOther, added.status, added.body)
	page := owner.get(added.header.Get("Location"))
	assert.Contains(t, page.body, "Coating K-20 is stored.")
	assert.Contains(t, page.body, "house &lt;glass&gt;")
	assert.Contains(t, page.body, "12 to 24.5 months")
	require.Eventually(t, func() bool {
		known := operator.get("/studies/S1/bay.json")
		return known.status == http.StatusOK && strings.Contains(known.body, "K-20")
	}, 20*time.Second, 20*time.Millisecond)
	assert.Equal(t, http.StatusForbidden, operator.post("/studies/S1/set-up/coatings", form).status)
	assert.NotContains(t, operator.get("/studies/S1/set-up").body, `action="/studies/S1/set-up`, "an operator sees the lists and changes none")

	again := owner.get(owner.post("/studies/S1/set-up/coatings", form).header.Get("Location"))
	assert.Contains(t, again.body, "K-20 is stored already, just so.")
	correct := owner.get("/studies/S1/set-up?coating=K-20")
	assert.Contains(t, correct.body, `name="claim_high_months" value="24.5"`)
	form.Set("was", "K-20")
	form.Set("name", "")
	proposed := owner.get(owner.post("/studies/S1/set-up/coatings", form).header.Get("Location"))
	assert.Contains(t, proposed.body, "waits for an owner’s decision")
	list, err := x.db.Amendments(t.Context(), x.study.ID, study.Proposed)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, []study.Change{{Field: "name", Before: "house <glass>", After: ""}}, list[0].Changes)

	form.Set("claim_low_months", "36")
	form.Set("name", "a zero byte \x00")
	bad := owner.post("/studies/S1/set-up/coatings", form)
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.body, "expected no less than claim_low_months")
}

// A shop can be given people before it has a vehicle.
func TestAddShopForPeople(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	owner := x.as(t, "owner")
	page := owner.get(owner.post("/studies/S1/set-up/shops", url.Values{"shop": {"WEST"}}).header.Get("Location"))
	assert.Contains(t, page.body, "Shop WEST is stored.")
	assert.Contains(t, owner.get("/studies/S1/people").body, "WEST")
	bad := owner.post("/studies/S1/set-up/shops", url.Values{"shop": {"two words"}})
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.body, `value="two words"`)
}
