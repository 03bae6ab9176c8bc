package web

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestShareLink(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator, "NORTH")
	b := x.as(t, "op")
	made := b.post("/studies/S1/vehicles/V001/links", nil)
	require.Equal(t, http.StatusOK, made.status)
	link := strings.TrimPrefix(regexp.MustCompile(`http://[^"]+/shared/[A-Z2-7]{26,}`).FindString(made.body), x.url)
	require.NotEmpty(t, link)
	assert.Equal(t, http.StatusNotFound, b.post("/studies/S1/vehicles/V002/links", nil).status, "another shop's")

	customer := x.browser(t)
	page := customer.get(link)
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "V001")
	assert.Contains(t, page.body, "Water still beads here")
	for _, others := range []string{"V002", "KW", "harbour", "COAST", "rain"} {
		assert.NotContains(t, page.body, others)
	}
	assert.Equal(t, "no-referrer", page.header.Get("Referrer-Policy"))
	assert.Equal(t, http.StatusSeeOther, customer.get("/studies/S1/vehicles/V001").status, "the link opens nothing else")
	assert.NotContains(t, b.get(link).body, "/sign-out", "also for those who are signed in")

	list := b.get("/studies/S1/vehicles/V001/links").body
	assert.NotContains(t, list, link)
	revoke := regexp.MustCompile(`/studies/S1/vehicles/V001/links/[0-9a-f-]{36}`).FindString(list)
	require.Equal(t, http.StatusSeeOther, b.post(revoke, nil).status)
	assert.Equal(t, http.StatusNotFound, customer.get(link).status)
	assert.Contains(t, customer.get(link).body, "Ask the shop for a new one")
}
