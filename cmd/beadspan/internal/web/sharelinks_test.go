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
	x.member(t, "south", study.Operator, "SOUTH")
	b, south := x.as(t, "op"), x.as(t, "south")
	letter := b.keepLetter("V001", "en")
	assert.Equal(t, http.StatusNotFound, south.post(letter+"/links", nil).status, "another shop's")
	link := b.share(letter)

	customer := x.browser(t)
	page := customer.get(link)
	require.Equal(t, http.StatusOK, page.status)
	assert.Contains(t, page.body, "V001")
	assert.Contains(t, page.body, "Repels water")
	assert.Contains(t, page.body, "This is an estimate, not a warranty.")
	assert.Contains(t, page.body, "This letter is of 1 Jun 2025.")
	for _, others := range []string{"V002", "KW", "harbour", "COAST", "rain", "/studies/"} {
		assert.NotContains(t, page.body, others)
	}
	for _, path := range []string{link, link + "/letter.pdf"} {
		got := customer.get(path)
		assert.Equal(t, http.StatusOK, got.status)
		assert.Equal(t, "no-referrer", got.header.Get("Referrer-Policy"))
		assert.Equal(t, "noindex", got.header.Get("X-Robots-Tag"))
		assert.Equal(t, "no-store", got.header.Get("Cache-Control"))
		assert.NotContains(t, got.header.Get("Content-Security-Policy"), "unsafe")
	}
	assert.Equal(t, b.get(letter+"/letter.pdf").body, customer.get(link+"/letter.pdf").body, "the very letter")
	assert.Equal(t, http.StatusSeeOther, customer.get("/studies/S1/vehicles/V001").status, "the link opens nothing else")
	assert.Equal(t, http.StatusSeeOther, customer.get(letter).status)
	assert.NotContains(t, b.get(link).body, "/studies/", "also for those who are signed in")

	list := b.get("/studies/S1/vehicles/V001/letters").body
	assert.NotContains(t, list, link)
	revoke := regexp.MustCompile(`/studies/S1/vehicles/V001/links/[0-9a-f-]{36}`).FindString(list)
	assert.Equal(t, http.StatusNotFound, south.post(revoke, nil).status)
	require.Equal(t, http.StatusSeeOther, b.post(revoke, nil).status)
	assert.Equal(t, http.StatusNotFound, customer.get(link).status)
	assert.Equal(t, http.StatusNotFound, customer.get(link+"/letter.pdf").status)
	assert.Contains(t, customer.get(link).body, "Ask the shop for a new one")
}

// keepLetter has today's letter about a vehicle kept, and returns its address.
func (b *browser) keepLetter(vehicle, language string) string {
	b.t.Helper()
	letters := "/studies/S1/vehicles/" + vehicle + "/letters"
	require.Equal(b.t, http.StatusOK, b.settled(letters).status)
	made := b.post(letters, map[string][]string{"language": {language}, "paper": {"a4"}})
	require.Equal(b.t, http.StatusSeeOther, made.status)
	return made.header.Get("Location")
}

// share makes a link to a letter, and returns its path.
func (b *browser) share(letter string) string {
	b.t.Helper()
	made := b.post(letter+"/links", nil)
	require.Equal(b.t, http.StatusOK, made.status)
	link := strings.TrimPrefix(regexp.MustCompile(`http://[^"]+/shared/[A-Z2-7]{26,}`).FindString(made.body), b.url)
	require.NotEmpty(b.t, link)
	return link
}
