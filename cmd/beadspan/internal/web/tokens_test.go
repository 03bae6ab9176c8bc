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

func TestTokensPage(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator, "NORTH")
	x.member(t, "other", study.Operator)
	b := x.as(t, "op")
	form := url.Values{"label": {"lift gate"}, "study": {"S1"}, "role": {"operator"}, "days": {"90"}}
	made := b.post("/tokens", form)
	require.Equal(t, http.StatusOK, made.status)
	secret := regexp.MustCompile(tokenPrefix + `[A-Z2-7]{26,}`).FindString(made.body)
	require.NotEmpty(t, secret)
	p := &program{t, x.url, secret, http.DefaultClient}
	assert.Equal(t, http.StatusOK, p.get("/studies/S1/vehicles/V001").status)
	assert.Equal(t, http.StatusNotFound, p.get("/studies/S1/vehicles/V002").status, "another shop's")

	page := b.get("/tokens")
	assert.NotContains(t, page.body, secret, "shown once")
	assert.Contains(t, page.body, "lift gate")
	assert.Contains(t, page.body, "last used")

	revoke := regexp.MustCompile(`/tokens/[0-9a-f-]{36}`).FindString(page.body)
	assert.Equal(t, http.StatusNotFound, x.as(t, "other").post(revoke, nil).status, "another account's")
	assert.Equal(t, http.StatusSeeOther, b.post(revoke, nil).status)
	assert.Equal(t, http.StatusUnauthorized, p.get("/studies/S1").status, "from the next call on")
	assert.Contains(t, b.get("/tokens").body, "revoked")

	for field, wrong := range map[string]string{"label": "", "study": "S9", "role": "owner", "days": "10000"} {
		bad := url.Values{}
		for name, values := range form {
			bad[name] = values
		}
		bad.Set(field, wrong)
		got := b.post("/tokens", bad)
		assert.Equal(t, http.StatusUnprocessableEntity, got.status, field)
		assert.Contains(t, got.body, field+":", "%s is named", field)
	}
}
