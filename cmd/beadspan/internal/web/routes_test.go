package web

import (
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// try is how a test asks for one route.
type try struct {
	address string
	form    url.Values
	// allowed is what whoever may ask gets.
	allowed int
}

// tries has a line for each route.
func tries(x *site) map[string]try {
	v001 := "/studies/S1/vehicles/V001"
	return map[string]try{
		"GET /set-up":               {"/set-up", nil, http.StatusNotFound}, // there are accounts
		"POST /set-up":              {"/set-up", url.Values{"name": {"x"}}, http.StatusNotFound},
		"GET /sign-in":              {"/sign-in", nil, 0}, // the form, or on to where one came from
		"POST /sign-in":             {"/sign-in", url.Values{"name": {"x"}}, http.StatusUnprocessableEntity},
		"POST /sign-out":            {"/sign-out", nil, http.StatusSeeOther},
		"GET /password":             {"/password", nil, http.StatusOK},
		"POST /password":            {"/password", url.Values{"old": {"x"}}, http.StatusUnprocessableEntity},
		"GET /invitation/{secret}":  {"/invitation/NONE", nil, http.StatusNotFound},
		"POST /invitation/{secret}": {"/invitation/NONE", nil, http.StatusNotFound},
		"GET /settings":             {"/settings", nil, http.StatusOK},
		"POST /settings":            {"/settings", url.Values{"look": {"dark"}}, http.StatusSeeOther},
		"GET /{$}":                  {"/", nil, 0}, // the only study, or a list

		"GET /studies/{study}":                    {"/studies/S1", nil, http.StatusOK},
		"GET /studies/{study}/vehicles":           {"/studies/S1/vehicles", nil, http.StatusOK},
		"GET /studies/{study}/vehicles/{vehicle}": {v001, nil, http.StatusOK},
		"GET /studies/{study}/people":             {"/studies/S1/people", nil, http.StatusOK},
		"POST /studies/{study}/people":            {"/studies/S1/people", url.Values{"name": {""}}, http.StatusUnprocessableEntity},
		"GET /studies/{study}/bay":                {"/studies/S1/bay", nil, http.StatusOK},
		"GET /studies/{study}/bay/{vehicle}":      {"/studies/S1/bay/V001", nil, http.StatusOK},
		"GET /studies/{study}/bay.json":           {"/studies/S1/bay.json", nil, 0}, // perhaps not worked out yet
		"GET /studies/{study}/bay.webmanifest":    {"/studies/S1/bay.webmanifest", nil, http.StatusOK},
		"POST /studies/{study}/visits":            {"/studies/S1/visits", nil, http.StatusUnprocessableEntity},
		"POST /studies/{study}/jobs":              {"/studies/S1/jobs", nil, http.StatusUnprocessableEntity},
		"GET /studies/{study}/labels":             {"/studies/S1/labels", nil, http.StatusOK},
		"GET /service-worker.js":                  {"/service-worker.js", nil, http.StatusOK},
		"POST /studies/{study}/people/{account}":  {"/studies/S1/people/" + uuid.NewString(), nil, http.StatusNotFound},

		"GET /api":                    {"/api", nil, http.StatusOK},
		"GET /passkeys":               {"/passkeys", nil, http.StatusOK},
		"POST /passkeys/begin":        {"/passkeys/begin", nil, http.StatusBadRequest}, // a number, not a name
		"POST /passkeys":              {"/passkeys", nil, http.StatusBadRequest},
		"POST /passkeys/remove":       {"/passkeys/remove", url.Values{"credential": {"AAAA"}}, http.StatusNotFound},
		"POST /sign-in/passkey/begin": {"/sign-in/passkey/begin", nil, http.StatusBadRequest},
		"POST /sign-in/passkey":       {"/sign-in/passkey", nil, http.StatusBadRequest},
		"GET /tokens":                 {"/tokens", nil, http.StatusOK},
		"POST /tokens":                {"/tokens", url.Values{"label": {""}}, http.StatusUnprocessableEntity},
		"POST /tokens/{token}":        {"/tokens/" + uuid.NewString(), nil, http.StatusNotFound},
		"GET /shared/{secret}":        {"/shared/NONE", nil, http.StatusNotFound},
	}
}

// TestEveryRouteByRole asks for every route as everybody. What each gets
// follows from what the route says it needs, and from nothing else.
func TestEveryRouteByRole(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "steward")
	x.stranger(t, "stranger")
	for _, role := range study.Roles() {
		x.member(t, string(role), role)
	}
	x.as(t, "steward").settled("/studies/S1/due")                   // files are sent only once their lists are there
	x.as(t, "steward").settled("/studies/S1/claims")                // this one too
	x.as(t, "steward").settled("/studies/S1/vehicles/V001/letters") // and letters only once they can be made
	asked := tries(x)
	maps.Copy(asked, officeTries())
	maps.Copy(asked, letterTries(x))
	maps.Copy(asked, setupTries())
	maps.Copy(asked, photoTries())
	var known []string
	for _, rt := range x.routes() {
		known = append(known, rt.pattern)
		method, _, _ := strings.Cut(rt.pattern, " ")
		ofStudy := strings.Contains(rt.pattern, "{study}")
		require.Equal(t, ofStudy, rt.needs >= reading, "%s: a page of a study needs reading or more, and no other does", rt.pattern)
		for _, name := range []string{"", "stranger", "reader", "operator", "owner", "steward"} {
			t.Run(rt.pattern+" as "+name, func(t *testing.T) {
				b := x.browser(t)
				if name != "" {
					b = x.as(t, name)
				}
				a := b.do(method, asked[rt.pattern].address, asked[rt.pattern].form, nil)
				switch want := verdict(rt.needs, name); want {
				case http.StatusOK:
					if allowed := asked[rt.pattern].allowed; allowed != 0 {
						assert.Equal(t, allowed, a.status)
					} else {
						assert.Less(t, a.status, http.StatusBadRequest)
					}
				case http.StatusUnauthorized:
					requireSignIn(t, method, a)
				default:
					assert.Equal(t, want, a.status)
				}
			})
		}
	}
	assert.Len(t, known, len(asked), "a route has no line in tries, or a line no route")
}

// verdict is what somebody gets of a route: 200 stands for whatever the route
// answers to those who may ask.
func verdict(needs need, name string) int {
	signedIn := name != ""
	role := study.Role(name)
	switch {
	case needs == anybody, name == "steward":
		return http.StatusOK
	case !signedIn:
		return http.StatusUnauthorized
	case needs == account:
		return http.StatusOK
	case needs == stewardship:
		return http.StatusForbidden
	case name == "stranger":
		return http.StatusNotFound // not even that there is such a study
	case needs == logging && role == study.Reader, needs == ownership && role != study.Owner:
		return http.StatusForbidden
	}
	return http.StatusOK
}

// requireSignIn: a page leads to the form, a post is refused.
func requireSignIn(t *testing.T, method string, a answer) {
	t.Helper()
	if method == http.MethodPost {
		assert.Equal(t, http.StatusUnauthorized, a.status)
		return
	}
	assert.Equal(t, http.StatusSeeOther, a.status)
	assert.Contains(t, a.header.Get("Location"), "/sign-in?next=")
}

// Another shop's vehicle is not found, wherever it might show.
func TestShopsSeeTheirOwn(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	x.member(t, "both", study.Reader, "NORTH", "SOUTH")
	x.member(t, "all", study.Reader)

	north := x.as(t, "north")
	assert.Equal(t, http.StatusOK, north.get("/studies/S1/vehicles/V001").status)
	there, never := north.get("/studies/S1/vehicles/V002"), north.get("/studies/S1/vehicles/V999")
	assert.Equal(t, http.StatusNotFound, there.status)
	assert.Equal(t, never, withDate(there, never), "nothing tells that there is such a vehicle")

	list := north.get("/studies/S1/vehicles").body
	assert.Contains(t, list, "V001")
	assert.NotContains(t, list, "V002")
	assert.NotContains(t, list, "V003", "a vehicle of no shop is for those who see all")
	home := north.settled("/studies/S1").body
	assert.Contains(t, home, "1 vehicle<")
	assert.Contains(t, home, "1 holding")
	assert.Contains(t, home, "0 doubtful")
	assert.NotContains(t, home, "V002")

	for name, want := range map[string]int{"both": 2, "all": 3} {
		body := x.as(t, name).get("/studies/S1/vehicles").body
		assert.Equal(t, want, strings.Count(body, `<th scope="row">`), name)
	}
}

// withDate takes over the date of another answer, the one thing that differs
// with the clock.
func withDate(a, other answer) answer {
	a.header.Set("Date", other.header.Get("Date"))
	return a
}
