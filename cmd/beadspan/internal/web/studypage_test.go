package web

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// rules is the form as the default study fills it in.
func rules(x *site) url.Values {
	f := formOf(x.study)
	return url.Values{"question": {f.Question}, "metric": {f.Metric}, "threshold": {f.Threshold}, "confirm": {f.Confirm},
		"estimand": {f.Estimand}, "claim_low_pct": {f.ClaimLow}, "claim_high_pct": {f.ClaimHigh}, "claim_confidence_pct": {f.ClaimConfidence},
		"wash_days": {f.WashDays}, "iron_days": {f.IronDays}, "decon_days": {f.DeconDays},
		"salt_decon_days": {f.SaltDays}, "checkup_days": {f.Every}, "seen": {f.Seen}}
}

// An owner sees what a rule would change before it is stored: V003 failed at 60
// to 62° twice, so that it is spent below 90° and holds at 55°.
func TestAmendRules(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "steward")
	x.member(t, "owner", study.Owner)
	owner := x.as(t, "owner")
	form := rules(x)
	form.Set("threshold", "55,0")
	form.Set("wash_days", "30")
	look := owner.settled("/studies/S1/rules?" + form.Encode())
	require.Equal(t, http.StatusOK, look.status)
	assert.Contains(t, look.body, "This changes 2 spans of 3.", "V002's 71° passes as well")
	assert.Contains(t, look.body, "1: spent → holding")
	assert.Contains(t, look.body, "1: doubtful → holding")
	assert.Contains(t, look.body, ">threshold</span>: 90 → 55")
	stored, err := x.db.StudyByCode(t.Context(), "S1")
	require.NoError(t, err)
	assert.Equal(t, x.study, stored, "looking stores nothing")

	without := owner.post("/studies/S1/rules", form)
	assert.Equal(t, http.StatusUnprocessableEntity, without.status)
	assert.Contains(t, without.body, "expected the reason")
	form.Set("why", "film <repels> less")
	require.Equal(t, http.StatusSeeOther, owner.post("/studies/S1/rules", form).status)
	stored, err = x.db.StudyByCode(t.Context(), "S1")
	require.NoError(t, err)
	assert.InDelta(t, 55, stored.Protocol.Threshold, 0)
	assert.Equal(t, 30, stored.CarePlan.WashDays)
	after := owner.get("/studies/S1/rules").body
	assert.Contains(t, after, "film &lt;repels&gt; less")
	assert.Contains(t, owner.settled("/studies/S1").body, "3 holding", "the figures are worked out anew")

	form.Set("confirm", "1")
	again := owner.post("/studies/S1/rules", form)
	assert.Equal(t, http.StatusConflict, again.status, "the form is of the former rules")
	assert.Contains(t, again.body, "Somebody changed the study meanwhile.")
}

func TestRulesThatMakeNoSense(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	x.member(t, "reader", study.Reader)
	owner := x.as(t, "owner")
	for field, c := range map[string]struct{ value, want string }{
		"threshold": {"ninety", "expected a number"}, "confirm": {"4", "expected 1, 2 or 3"}, "metric": {"gloss", "expected one of"},
		"wash_days": {"1", "expected 7 to 1000 days"}, "iron_days": {"x", "expected a whole number"},
	} {
		form := rules(x)
		form.Set(field, c.value)
		a := owner.get("/studies/S1/rules?" + form.Encode())
		assert.Equal(t, http.StatusUnprocessableEntity, a.status, field)
		assert.Regexp(t, regexp.QuoteMeta(field)+".*"+c.want, a.body)
	}
	page := x.as(t, "reader").get("/studies/S1/rules?" + rules(x).Encode())
	assert.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "Above 90° a surface is called hydrophobic")
	assert.NotContains(t, page.body, "See what it changes", "a reader looks")
}
