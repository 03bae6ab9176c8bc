package web

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// program calls the API of a site.
type program struct {
	t      testing.TB
	url    string
	token  string
	client *http.Client
}

// program makes a token of an account and a program that shows it.
func (x *site) program(t testing.TB, a study.Account, role study.Role) *program {
	t.Helper()
	secret := "secret of " + a.Name + " " + string(role)
	token := study.Token{ID: study.NewID(), AccountID: a.ID, StudyID: x.study.ID, Role: role, Label: "test", Expires: time.Now().Add(time.Hour)}
	require.NoError(t, x.db.AddToken(t.Context(), token, secret))
	return &program{t, x.url, secret, http.DefaultClient}
}

// reply is what a program got.
type reply struct {
	status int
	header http.Header
	body   map[string]any
}

// call sends a request to the API; a body that isn't nil goes as JSON, text as
// it is.
func (p *program) call(method, path string, body any) reply {
	p.t.Helper()
	var sent io.Reader
	if text, is := body.(string); is {
		sent = strings.NewReader(text)
	} else if body != nil {
		encoded, err := json.Marshal(body)
		require.NoError(p.t, err)
		sent = bytes.NewReader(encoded)
	}
	r, err := http.NewRequestWithContext(p.t.Context(), method, p.url+"/api"+path, sent)
	require.NoError(p.t, err)
	if p.token != "" {
		r.Header.Set("Authorization", "Bearer "+p.token)
	}
	if sent != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	resp, err := p.client.Do(r)
	require.NoError(p.t, err)
	defer resp.Body.Close()
	got := reply{status: resp.StatusCode, header: resp.Header}
	require.NoError(p.t, json.NewDecoder(resp.Body).Decode(&got.body))
	if got.status >= 400 {
		require.Equal(p.t, "application/problem+json", got.header.Get("Content-Type"))
		require.EqualValues(p.t, got.status, got.body["status"])
		require.NotEmpty(p.t, got.body["detail"])
	}
	return got
}

func (p *program) get(path string) reply {
	p.t.Helper()
	return p.call(http.MethodGet, path, nil)
}

func TestAPIReads(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Reader)

	studies := p.get("/studies")
	require.Equal(t, http.StatusOK, studies.status)
	require.Len(t, studies.body["studies"], 1)
	assert.Equal(t, "reader", studies.body["studies"].([]any)[0].(map[string]any)["role"], "the token's role, though its account owns the study")
	one := p.get("/studies/S1")
	require.Equal(t, http.StatusOK, one.status)
	assert.EqualValues(t, 3, one.body["n_vehicles"])
	assert.EqualValues(t, 90, one.body["protocol"].(map[string]any)["threshold"])

	first := p.get("/studies/S1/vehicles?limit=2")
	require.Equal(t, http.StatusOK, first.status)
	assert.Len(t, first.body["vehicles"], 2)
	assert.Equal(t, "V002", first.body["next"])
	second := p.get("/studies/S1/vehicles?limit=2&after=V002")
	assert.Len(t, second.body["vehicles"], 1)
	assert.Nil(t, second.body["next"])
	assert.Len(t, p.get("/studies/S1/vehicles?search=001").body["vehicles"], 1)

	v := p.get("/studies/S1/vehicles/V003")
	require.Equal(t, http.StatusOK, v.status)
	patch := v.body["patches"].([]any)[0].(map[string]any)
	assert.Equal(t, "spent", patch["standing"])
	assert.EqualValues(t, 57, patch["span"].(map[string]any)["upper_days"], "2025-03-01 is 57 days after 2025-01-03, a day after the coating")
	reading := v.body["checkups"].([]any)[0].(map[string]any)["readings"].([]any)[0].(map[string]any)
	assert.Equal(t, []any{60., 61., 62.}, reading["angles_deg"])
	assert.Equal(t, "KW", v.body["checkups"].([]any)[0].(map[string]any)["operator"])
}

// What a token may do is the least of what it and its account may.
func TestAPILetsIn(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	steward := x.steward(t, "steward")
	north := x.member(t, "north", study.Operator, "NORTH")
	asNorth := x.program(t, north, study.Owner)
	assert.Equal(t, http.StatusOK, asNorth.get("/studies/S1/vehicles/V001").status)
	assert.Equal(t, http.StatusNotFound, asNorth.get("/studies/S1/vehicles/V002").status, "another shop's")
	assert.Equal(t, "operator", asNorth.get("/studies/S1").body["role"])
	assert.Equal(t, http.StatusNotFound, asNorth.get("/studies/S2").status)
	assert.Equal(t, http.StatusNotFound, asNorth.get("/nowhere").status)

	other := study.Study{ID: study.NewID(), Code: "S2", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), other))
	p := x.program(t, steward, study.Owner)
	assert.Equal(t, http.StatusNotFound, p.get("/studies/S2").status, "a token is of one study")

	nobody := &program{t, x.url, "", http.DefaultClient}
	asked := nobody.get("/studies/S1")
	assert.Equal(t, http.StatusUnauthorized, asked.status)
	assert.Contains(t, asked.header.Get("WWW-Authenticate"), "Bearer")
	wrong := &program{t, x.url, "guess", http.DefaultClient}
	assert.Equal(t, http.StatusUnauthorized, wrong.get("/studies").status)

	require.NoError(t, x.db.DisableAccount(t.Context(), north.ID, true))
	assert.Equal(t, http.StatusUnauthorized, asNorth.get("/studies").status)

	b := x.as(t, "steward")
	assert.Equal(t, http.StatusOK, b.get("/api/studies/S2").status, "a browser that is signed in needs no token")
}

func TestAPISaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Owner)
	for path, where := range map[string]string{
		"/studies/S1/vehicles?limit=0":    "query.limit",
		"/studies/S1/vehicles?limit=many": "query.limit",
		"/studies/S1/vehicles?serch=V":    "query.serch",
	} {
		got := p.get(path)
		require.Equal(t, http.StatusUnprocessableEntity, got.status, path)
		assert.Equal(t, where, got.body["errors"].([]any)[0].(map[string]any)["location"], path)
	}
}

func TestAPISlowsDown(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.throttle.now = func() time.Time { return time.Unix(1, 0) } // no time goes by
	p := x.program(t, x.steward(t, "kw"), study.Owner)
	for range callsOfOne.atOnce {
		require.Equal(t, http.StatusOK, p.get("/studies").status)
	}
	got := p.get("/studies")
	assert.Equal(t, http.StatusTooManyRequests, got.status)
	assert.Equal(t, "1", got.header.Get("Retry-After"))
}
