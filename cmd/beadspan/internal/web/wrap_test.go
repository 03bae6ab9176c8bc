package web

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"beadspan/study/store/storetest"
)

// What another site has a browser send is refused.
func TestOtherSitesCannotPost(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{Demo: true})
	for _, header := range []http.Header{
		{"Sec-Fetch-Site": {"cross-site"}}, {"Sec-Fetch-Site": {"same-site"}}, {"Origin": {"https://elsewhere.example"}},
	} {
		a := x.browser(t).do(http.MethodPost, "/demo", nil, header)
		assert.Equal(t, http.StatusForbidden, a.status, header)
		assert.Empty(t, a.header.Get("Set-Cookie"), header)
		assert.Contains(t, a.body, "another site")
	}
	assert.Equal(t, http.StatusSeeOther, x.browser(t).do(http.MethodPost, "/demo", nil, http.Header{"Sec-Fetch-Site": {"same-origin"}}).status)
}

func TestHeaders(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	for _, path := range []string{"/set-up", "/no-such-page", x.assets.address("beadspan.css")} {
		h := x.browser(t).get(path).header
		assert.Equal(t, contentPolicy, h.Get("Content-Security-Policy"), path)
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
		assert.Equal(t, "same-origin", h.Get("Referrer-Policy"), path)
	}
	assert.NotContains(t, contentPolicy, "unsafe")
	assert.Contains(t, contentPolicy, "frame-ancestors 'none'")
	assert.Equal(t, "no-store", x.browser(t).get("/set-up").header.Get("Cache-Control"))
}

// A local server answers to no name that somebody may have led here.
func TestLocalNamesOnly(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{LocalOnly: true})
	for host, want := range map[string]int{
		"localhost:8455": http.StatusOK, "127.0.0.1": http.StatusOK, "[::1]:8455": http.StatusOK,
		"elsewhere.example": http.StatusMisdirectedRequest, "10.0.0.7:8455": http.StatusMisdirectedRequest, "": http.StatusMisdirectedRequest,
	} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/set-up", nil)
		r.Host = host
		w := httptest.NewRecorder()
		x.ServeHTTP(w, r)
		assert.Equal(t, want, w.Code, host)
	}
}

func TestBodiesAreBounded(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	a := x.browser(t).post("/set-up", url.Values{"name": {strings.Repeat("x", mostFormBytes)}})
	assert.Equal(t, http.StatusRequestEntityTooLarge, a.status)
	assert.Contains(t, a.body, "more than this page takes")
	bad := x.browser(t).do(http.MethodPost, "/set-up?%zz", nil, nil)
	assert.Equal(t, http.StatusBadRequest, bad.status)
}

// The log has no secret of a link, no name and no password.
func TestLogHasNoSecrets(t *testing.T) {
	t.Parallel()
	var log bytes.Buffer
	s, err := New(Options{Store: storetest.New(t), Log: slog.New(slog.NewTextHandler(&log, nil)), cost: cheap})
	require.NoError(t, err)
	defer s.Close()
	for _, target := range []string{"/invitation/SECRET", "/sign-in?next=SECRET"} {
		s.ServeHTTP(httptest.NewRecorder(), httptest.NewRequestWithContext(t.Context(), http.MethodGet, target, nil))
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/sign-in", strings.NewReader("name=SECRET&password=SECRET"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	s.ServeHTTP(httptest.NewRecorder(), r)
	assert.Equal(t, 3, strings.Count(log.String(), "msg=request"))
	assert.Contains(t, log.String(), `route="GET /invitation/{secret}" status=404`)
	assert.NotContains(t, log.String(), "SECRET")
}

// Behind a proxy the address is the one that the proxy saw, whatever the
// browser claims.
func TestAddress(t *testing.T) {
	t.Parallel()
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil)
	r.RemoteAddr = "10.0.0.1:5000"
	r.Header.Add("X-Forwarded-For", "6.6.6.6")
	r.Header.Add("X-Forwarded-For", "7.7.7.7, 203.0.113.9")
	assert.Equal(t, "10.0.0.1", (&Server{}).address(r))
	assert.Equal(t, "203.0.113.9", (&Server{opts: Options{BehindProxy: true}}).address(r))
}

func TestAssets(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	css := x.assets.address("beadspan.css")
	a := x.browser(t).do(http.MethodGet, css, nil, http.Header{"Accept-Encoding": {"gzip"}})
	require.Equal(t, http.StatusOK, a.status)
	assert.Equal(t, "gzip", a.header.Get("Content-Encoding"))
	assert.Equal(t, "text/css; charset=utf-8", a.header.Get("Content-Type"))
	assert.Equal(t, "public, max-age=31536000, immutable", a.header.Get("Cache-Control"))
	again := x.browser(t).do(http.MethodGet, css, nil, http.Header{"Accept-Encoding": {"gzip"}, "If-None-Match": {a.header.Get("ETag")}})
	assert.Equal(t, http.StatusNotModified, again.status)
	assert.Equal(t, http.StatusNotFound, x.browser(t).get("/assets/beadspan.css").status, "only under the hash of its content")
}

// A panic in one page ends that page.
func TestPanicIsContained(t *testing.T) {
	t.Parallel()
	s := &Server{log: slog.New(slog.DiscardHandler)}
	w := httptest.NewRecorder()
	s.recovered(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("ouch") })).
		ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil))
	assert.Equal(t, http.StatusInternalServerError, w.Code)
	assert.NotContains(t, w.Body.String(), "ouch")
}

// A server that was closed leaves nothing running, even in the midst of work.
func TestCloseLeavesNothing(t *testing.T) {
	before := goleak.IgnoreCurrent()
	t.Run("site", func(t *testing.T) {
		x := newSite(t, Options{Demo: true})
		b := x.browser(t)
		b.post("/demo", nil)
		b.get("/studies/S1") // begins to work figures out
		b.client.CloseIdleConnections()
	})
	goleak.VerifyNone(t, before)
}
