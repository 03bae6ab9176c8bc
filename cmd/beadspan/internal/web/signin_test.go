package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestSignInAndOut(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	b := x.browser(t)

	asked := b.get("/studies/S1/vehicles?search=V0")
	require.Equal(t, http.StatusSeeOther, asked.status)
	form := b.get(asked.header.Get("Location"))
	assert.Contains(t, form.body, `name="next" value="/studies/S1/vehicles?search=V0"`)
	in := b.post("/sign-in", url.Values{"name": {" KW "}, "password": {testPassword}, "next": {"/studies/S1/vehicles?search=V0"}})
	require.Equal(t, http.StatusSeeOther, in.status)
	assert.Equal(t, "/studies/S1/vehicles?search=V0", in.header.Get("Location"))
	assert.Equal(t, http.StatusOK, b.get(in.header.Get("Location")).status)

	require.Equal(t, http.StatusSeeOther, b.post("/sign-out", nil).status)
	assert.Equal(t, http.StatusSeeOther, b.get("/studies/S1").status)
}

// Nobody can find out which names there are.
func TestSignInTellsNoNames(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	locked := x.member(t, "locked", study.Reader)
	require.NoError(t, x.db.DisableAccount(t.Context(), locked.ID, true))
	waiting := study.Account{ID: study.NewID(), Name: "waiting"}
	require.NoError(t, x.db.AddAccount(t.Context(), waiting,
		study.Membership{AccountID: waiting.ID, StudyID: x.study.ID, Role: study.Reader, EveryShop: true}))

	seen := map[string]bool{}
	for _, try := range [][2]string{{"kw", "wrong"}, {"nobody", "wrong"}, {"locked", testPassword}, {"waiting", ""}, {"waiting", testPassword}} {
		a := x.browser(t).post("/sign-in", url.Values{"name": {try[0]}, "password": {try[1]}})
		assert.Equal(t, http.StatusUnprocessableEntity, a.status, try)
		assert.Empty(t, a.header.Get("Set-Cookie"), try)
		seen[strings.ReplaceAll(a.body, try[0], "NAME")] = true
	}
	assert.Len(t, seen, 1, "all who fail get the same page")
}

func TestSignInIsThrottled(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	x.member(t, "zo", study.Reader)
	now := time.Date(2025, 6, 1, 8, 0, 0, 0, time.UTC)
	x.throttle.now = func() time.Time { return now }
	b := x.browser(t)
	form := url.Values{"name": {"kw"}, "password": {"wrong"}}
	for range triesOfName {
		require.Equal(t, http.StatusUnprocessableEntity, b.post("/sign-in", form).status)
	}
	refused := b.post("/sign-in", url.Values{"name": {"kw"}, "password": {testPassword}})
	assert.Equal(t, http.StatusTooManyRequests, refused.status, "the right password too")
	assert.NotEmpty(t, refused.header.Get("Retry-After"))
	x.as(t, "zo") // others are not made to pay

	now = now.Add(nameEvery)
	x.as(t, "kw")
	assert.Equal(t, http.StatusUnprocessableEntity, b.post("/sign-in", form).status, "who signed in has all tries again")
}

// A password that is changed, and an account that is locked, end sessions.
func TestSessionsEnd(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	reader := x.member(t, "reader", study.Reader)
	here, elsewhere := x.as(t, "reader"), x.as(t, "reader")

	bad := here.post("/password", url.Values{"old": {testPassword}, "new": {"short"}})
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.body, "15 characters")
	changed := here.post("/password", url.Values{"old": {testPassword}, "new": {testPassword + " 2"}})
	require.Equal(t, http.StatusSeeOther, changed.status)
	assert.Equal(t, http.StatusOK, here.get("/studies/S1").status, "this session goes on")
	assert.Equal(t, http.StatusSeeOther, elsewhere.get("/studies/S1").status, "the other one has ended")

	require.NoError(t, x.db.DisableAccount(t.Context(), reader.ID, true))
	assert.Equal(t, http.StatusSeeOther, here.get("/studies/S1").status)
}

// A session begins under a token that the browser didn't bring along.
func TestSessionTokenIsFresh(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{Demo: true})
	b := x.browser(t)
	planted := b.do(http.MethodPost, "/demo", nil, http.Header{"Cookie": {"beadspan=planted"}})
	require.Equal(t, http.StatusSeeOther, planted.status)
	assert.Regexp(t, regexp.MustCompile(`^beadspan=[\w-]{40,}; Path=/; .*HttpOnly; SameSite=Lax$`), planted.header.Get("Set-Cookie"))
	assert.NotContains(t, planted.header.Get("Set-Cookie"), "planted")
}

func TestSecureCookies(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{Demo: true, Secure: true})
	cookie := x.browser(t).post("/demo", nil).header.Get("Set-Cookie")
	assert.Contains(t, cookie, "__Host-beadspan=")
	assert.Contains(t, cookie, "; Secure")
}

func TestNextStaysHere(t *testing.T) {
	t.Parallel()
	for next, want := range map[string]string{
		"/studies/S1?a=b#c": "/studies/S1?a=b#c", "": "/", "studies": "/",
		"https://elsewhere.example/": "/", "//elsewhere.example": "/", "/\\elsewhere.example": "/", "/\t/elsewhere.example": "/",
		"javascript:alert(1)": "/", "/%2f/elsewhere.example": "/%2f/elsewhere.example", "http:elsewhere": "/", "\x00": "/",
	} {
		assert.Equal(t, want, local(next), next)
	}
}

// The demo's button makes an owner once, and signs in whoever comes later.
func TestDemoSignIn(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{Demo: true})
	for range 2 {
		b := x.browser(t)
		assert.Contains(t, b.get("/sign-in").body, "Look at the demo")
		require.Equal(t, http.StatusSeeOther, b.post("/demo", nil).status)
		assert.Equal(t, http.StatusOK, b.get("/studies/S1/people").status)
	}
	other := newSite(t, Options{})
	assert.Equal(t, http.StatusNotFound, other.browser(t).post("/demo", nil).status, "only the demo has the button")
}

func TestSetUp(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{SetupCode: "ABCDEF"})
	b := x.browser(t)
	assert.Equal(t, "/sign-in?next=%2F", b.get("/").header.Get("Location"))
	assert.Equal(t, "/set-up", b.get("/sign-in").header.Get("Location"))
	form := func(name, password, code string) url.Values {
		return url.Values{"name": {name}, "password": {password}, "code": {code}}
	}
	for _, wrong := range []url.Values{form("kw", testPassword, ""), form("kw", testPassword, "ABCDEG"), form("k w", testPassword, "ABCDEF"), form("kw", "short", "ABCDEF")} {
		assert.Equal(t, http.StatusUnprocessableEntity, b.post("/set-up", wrong).status, wrong)
	}
	// Several who try at once make one account.
	var made, late int
	var mu sync.Mutex
	var all sync.WaitGroup
	for _, name := range []string{"a", "b", "c", "d"} {
		other := x.browser(t)
		all.Go(func() {
			a := other.post("/set-up", form(name, testPassword, "ABCDEF"))
			mu.Lock()
			defer mu.Unlock()
			switch a.status {
			case http.StatusSeeOther:
				made++
			case http.StatusNotFound:
				late++
			}
		})
	}
	all.Wait()
	assert.Equal(t, []int{1, 3}, []int{made, late})
	assert.Equal(t, http.StatusNotFound, b.get("/set-up").status)
}

func TestInvitation(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	owner := x.as(t, "kw")
	added := owner.post("/studies/S1/people", url.Values{"name": {"New.Person"}, "role": {"reader"}, "shop": {x.fleet.Shops[1].ID.String()}})
	require.Equal(t, http.StatusOK, added.status, added.body)
	link := regexp.MustCompile(`value="http://[^/"]+(/invitation/\w+)"`).FindStringSubmatch(added.body)
	require.Len(t, link, 2)
	assert.NotContains(t, owner.get("/studies/S1/people").body, "/invitation/", "shown once")

	b := x.browser(t)
	assert.Contains(t, b.get(link[1]).body, "new.person")
	assert.Equal(t, http.StatusUnprocessableEntity, b.post(link[1], url.Values{"password": {"aaaaaaaaaaaaaaaaaaaa"}}).status)
	require.Equal(t, http.StatusSeeOther, b.post(link[1], url.Values{"password": {testPassword}}).status)
	assert.Equal(t, http.StatusOK, b.get("/studies/S1/vehicles/V002").status, "signed in, and of its shop")
	assert.Equal(t, http.StatusNotFound, b.get("/studies/S1/vehicles/V001").status)
	assert.Equal(t, http.StatusNotFound, x.browser(t).get(link[1]).status, "good once")
	x.as(t, "new.person")
}
