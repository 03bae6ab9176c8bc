package web

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestChangePeople(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	steward := x.steward(t, "steward")
	owner := x.member(t, "owner", study.Owner)
	reader := x.member(t, "reader", study.Reader)
	do := func(b *browser, a study.Account, what string, more url.Values) int {
		form := url.Values{"do": {what}}
		for name, values := range more {
			form[name] = values
		}
		return b.post("/studies/S1/people/"+a.ID.String(), form).status
	}
	asOwner, asSteward, asReader := x.as(t, "owner"), x.as(t, "steward"), x.as(t, "reader")

	// An owner changes what others may do in the study, and not who they are.
	north := x.fleet.Shops[0].ID.String()
	assert.Equal(t, http.StatusSeeOther, do(asOwner, reader, "save", url.Values{"role": {"operator"}, "shop": {north}}))
	assert.Equal(t, http.StatusNotFound, asReader.get("/studies/S1/vehicles/V002").status, "from the next page on")
	assert.Equal(t, http.StatusUnprocessableEntity, do(asOwner, reader, "save", url.Values{"role": {"king"}}))
	assert.Equal(t, http.StatusUnprocessableEntity, do(asOwner, reader, "save", url.Values{"role": {"owner"}, "shop": {north}}))
	assert.Equal(t, http.StatusBadRequest, do(asOwner, reader, "save", url.Values{"role": {"reader"}, "shop": {uuid.NewString()}}))
	for _, what := range []string{"link", "disable", "enable", "unheard of"} {
		assert.Equal(t, http.StatusForbidden, do(asOwner, reader, what, nil), what)
	}
	for _, what := range []string{"save", "remove", "link", "disable"} {
		assert.Equal(t, http.StatusForbidden, do(asOwner, steward, what, url.Values{"role": {"reader"}}), what)
		assert.Equal(t, http.StatusForbidden, do(asOwner, owner, what, url.Values{"role": {"reader"}}), "oneself: "+what)
	}

	// A steward locks accounts, but not the last steward.
	assert.Equal(t, http.StatusOK, do(asSteward, reader, "link", nil))
	assert.Equal(t, http.StatusSeeOther, do(asSteward, reader, "disable", nil))
	assert.Equal(t, http.StatusSeeOther, asReader.get("/studies/S1").status, "to the form for signing in")
	assert.Equal(t, http.StatusSeeOther, do(asSteward, reader, "enable", nil))
	x.as(t, "reader")
	assert.Equal(t, http.StatusForbidden, do(asSteward, steward, "disable", nil))

	assert.Equal(t, http.StatusSeeOther, do(asOwner, reader, "remove", nil))
	assert.Equal(t, http.StatusNotFound, x.as(t, "reader").get("/studies/S1").status)
	assert.Equal(t, http.StatusNotFound, do(asOwner, reader, "save", url.Values{"role": {"reader"}}), "no member any more")
}

func TestLetIn(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "steward")
	x.member(t, "owner", study.Owner)
	x.stranger(t, "stranger")
	asOwner := x.as(t, "owner")
	add := func(name, role string) answer {
		return asOwner.post("/studies/S1/people", url.Values{"name": {name}, "role": {role}})
	}
	known := add("Stranger", "reader")
	require.Equal(t, http.StatusSeeOther, known.status, "an account that there is needs no link")
	assert.Equal(t, http.StatusOK, x.as(t, "stranger").get("/studies/S1").status)

	assert.Equal(t, http.StatusConflict, add("owner", "reader").status, "nobody takes away their own role")
	assert.Equal(t, http.StatusConflict, add("steward", "reader").status)
	wrong := add("two words", "king")
	assert.Equal(t, http.StatusUnprocessableEntity, wrong.status)
	assert.Contains(t, wrong.body, "without spaces")
	assert.Contains(t, wrong.body, "expected one of owner, operator, reader")
	assert.Contains(t, wrong.body, `value="two words"`, "as typed")
}
