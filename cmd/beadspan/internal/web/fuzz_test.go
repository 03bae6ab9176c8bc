package web

import (
	"encoding/json"
	"maps"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// fuzzed is a site that is asked without a network, as the steward by session
// or token, or as nobody.
type fuzzed struct {
	*site
	cookie, token string
}

func newFuzzed(f *testing.F) *fuzzed {
	f.Helper()
	x := newSite(f, Options{})
	a := x.steward(f, "kw")
	b := x.as(f, "kw")
	u, err := url.Parse(x.url)
	require.NoError(f, err)
	return &fuzzed{x, b.client.Jar.Cookies(u)[0].String(), x.program(f, a, study.Owner).token}
}

// ask sends a request and requires an answer that isn't a mistake of the
// server's own. A request that no client could send is skipped.
func (x *fuzzed) ask(t *testing.T, method, address, body string, header map[string]string) *httptest.ResponseRecorder {
	t.Helper()
	u, err := url.ParseRequestURI(address)
	if err != nil {
		t.Skip("no address")
	}
	r := httptest.NewRequestWithContext(t.Context(), method, "http://example.com/", strings.NewReader(body))
	r.URL, r.RequestURI = u, address
	for name, value := range header {
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	x.ServeHTTP(w, r)
	if w.Code >= http.StatusInternalServerError {
		t.Fatalf("%s %s: %d\n%s\n%s", method, address, w.Code, body, w.Body)
	}
	return w
}

func (x *fuzzed) byToken() map[string]string {
	return map[string]string{"Authorization": "Bearer " + x.token, "Content-Type": "application/json"}
}

// fuzzLog sends anything in place of what is logged. What isn't taken is a
// problem that says so, and what is taken has a result each.
func fuzzLog(f *testing.F, path string, seeds ...string) {
	x := newFuzzed(f)
	for _, seed := range append(seeds, "", "null", "[]", "{", `{"visits": null}`, `{"jobs": [{}]}`, "\xff", `"\u0000"`, strings.Repeat("[", 10_000)) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, body string) {
		w := x.ask(t, http.MethodPost, "/api/studies/S1/"+path, body, x.byToken())
		var got struct {
			Status  int
			Detail  string
			Results []struct {
				Result   string
				Problems []struct{ Message string }
			}
		}
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &got), w.Body)
		if w.Code != http.StatusOK {
			require.Equal(t, w.Code, got.Status)
			require.NotEmpty(t, got.Detail)
			return
		}
		require.NotEmpty(t, got.Results)
		for _, r := range got.Results {
			require.Contains(t, []string{"stored", "known", "proposed", "refused"}, r.Result)
			require.Equal(t, r.Result == "refused", len(r.Problems) > 0)
		}
	})
}

func FuzzVisits(f *testing.F) {
	const id = `"01981b5e-8c00-7abc-8def-0123456789ab"`
	fuzzLog(f, "visits",
		`{"visits": [{"id": `+id+`, "vehicle": "V001", "day": "2025-05-30", "readings": [{"patch": "RF", "stage": "decon", "angles_deg": [101, 99.5]}]}]}`,
		`{"visits": [{"id": `+id+`, "vehicle": "V\u0000", "day": "2025-05-30", "note": "x"}]}`,
		`{"visits": [{"id": `+id+`, "vehicle": "V001", "day": "2025-05-30", "note": "a\u0000b"}]}`,
		`{"visits": [{"id": "00000000-0000-0000-0000-000000000000", "vehicle": "V001", "day": "0000-01-01", "care": [{"id": `+id+`, "kind": "clay"}]}]}`,
		`{"visits": [{"id": `+id+`, "vehicle": "V002", "day": "2025-05-30", "readings": [{"patch": "RF", "stage": "decon", "angles_deg": [1e308, -1, 9999999999999999999999]}]}]}`,
		`{"visits": [{"id": `+id+`, "vehicle": "V003", "day": "2025-05-30", "readings": [{"patch": "RF", "stage": "decon", "bead_grade": 9223372036854775807}]}]}`,
		`{"visits": [{"id": `+id+`, "vehicle": "V003", "day": "2025-05-30", "readings": [{"patch": "RF", "stage": "decon", "bead_grade": 3}, {"patch": "RF", "stage": "decon", "bead_grade": 4}]}]}`,
	)
}

func FuzzJobs(f *testing.F) {
	const ids = `"id": "01981b5e-9000-7abc-8def-0123456789ab", "coating_id": "01981b5e-9001-7abc-8def-0123456789ab"`
	const patch = `"patches": [{"id": "01981b5e-9002-7abc-8def-0123456789ab", "code": "RF", "panel": "roof", "orientation": "horizontal"}]`
	fuzzLog(f, "jobs",
		`{"jobs": [{`+ids+`, "vehicle": "V004", "site": "COAST", "coating": "FLEX-1", "applied": "2025-05-28", "substrate": "wrap", "finish": "satin", `+patch+`}]}`,
		`{"jobs": [{`+ids+`, "vehicle": "V005", "site": "CO\u0000AST", "coating": "FLEX-9", "applied": "2025-05-28", "substrate": "wrap", "finish": "satin", `+patch+`}]}`,
		`{"jobs": [{`+ids+`, "vehicle": "V001", "coating": "\u0000", "applied": "2025-05-28", "substrate": "wrap", "finish": "satin", `+patch+`}]}`,
		`{"jobs": [{`+ids+`, "vehicle": "V006", "site": "COAST", "shop": "NORTH", "garage": "cave", "coating": "FLEX-1", "applied": "2025-05-28", "substrate": "wrap", "finish": "satin", "job": {"layers": -1}, `+patch+`}]}`,
	)
}

// FuzzPhone sends anything in place of what the bay's phones send.
func FuzzPhone(f *testing.F) {
	x := newFuzzed(f)
	for _, seed := range []string{
		"", "{}", "null", `{"id": "x"}`, `{"vehicle": "V001\u0000"}`, `{} {}`,
		`{"id": "01981b5e-8c00-7abc-8def-0123456789ab", "vehicle": "V001", "day": "2025-05-30", "note": "\u0000"}`,
		`{"id": "00000000-0000-0000-0000-000000000000", "vehicle": "V001", "day": "2025-05-30", "note": "x"}`,
		`{"id": "01981b5e-8c00-7abc-8def-0123456789ab", "vehicle": "V009", "site": "COAST", "applied": "2025-05-28", "coating": "X", "patches": [{}]}`,
	} {
		f.Add(true, seed)
		f.Add(false, seed)
	}
	f.Fuzz(func(t *testing.T, visit bool, body string) {
		path := "/studies/S1/jobs"
		if visit {
			path = "/studies/S1/visits"
		}
		w := x.ask(t, http.MethodPost, path, body, map[string]string{"Cookie": x.cookie, "Content-Type": "application/json"})
		require.True(t, json.Valid(w.Body.Bytes()), w.Body)
	})
}

// formsOf lists the addresses that take forms, with what the fields are called
// there.
func formsOf() map[string][]string {
	return map[string][]string{
		"/sign-in": {"name", "password", "next"}, "/set-up": {"code", "name", "password"}, "/settings": {"language", "look", "units", "next"},
		"/password": {"old", "new"}, "/invitation/X": {"password"}, "/tokens": {"label", "study", "role", "days"}, "/passkeys/remove": {"credential"},
		"/studies/S1/people": {"name", "role", "shop"}, "/studies/S1/rules": {"metric", "threshold", "confirm", "estimand", "why"},
		"/new-study": {"code", "question", "metric", "threshold"}, "/studies/S1/set-up/shops": {"code"},
		"/studies/S1/set-up/coatings": {"code", "name", "low", "high", "note"},
		"/studies/S1/set-up/site":     {"code", "name", "latitude", "longitude", "altitude", "max", "min", "rain", "sun"},
		"/studies/S1/letters":         {"vehicle", "language", "paper"}, "/studies/S1/vehicles/V001/letters": {"language", "paper"},
	}
}

// FuzzForms fills anything into the fields of every form.
func FuzzForms(f *testing.F) {
	x := newFuzzed(f)
	forms := formsOf()
	var addresses []string
	for address := range forms {
		addresses = append(addresses, address)
	}
	slices.Sort(addresses)
	for i := range addresses {
		for _, value := range []string{"", "x", "\x00", "\xff", "S1", "owner", "-1", "1e400", "//example.com", strings.Repeat("ä", 3000)} {
			f.Add(uint8(i), value, value)
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, one, all string) {
		address := addresses[int(which)%len(addresses)]
		form := url.Values{}
		for i, field := range forms[address] {
			if form.Set(field, all); i == 0 {
				form.Set(field, one)
			}
		}
		header := map[string]string{"Cookie": x.cookie, "Content-Type": "application/x-www-form-urlencoded"}
		x.ask(t, http.MethodPost, address, form.Encode(), header)
		x.ask(t, http.MethodPost, address, all, header) // not even a form
	})
}

// FuzzCredentials shows anything in place of a session or a token: it opens
// nothing.
func FuzzCredentials(f *testing.F) {
	x := newFuzzed(f)
	for _, seed := range []string{"", "x", "Bearer ", "Bearer x", "Bearer \x00", "beadspan=", "beadspan=\xff", "beadspan=x; language=\x00", "look=dark; units=us", strings.Repeat("=;", 5000)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, shown string) {
		if strings.Contains(shown, x.token) || strings.Contains(shown, x.cookie) {
			t.Skip("the real one")
		}
		for _, address := range []string{"/studies/S1", "/api/studies/S1"} {
			w := x.ask(t, http.MethodGet, address, "", map[string]string{"Cookie": shown, "Authorization": shown})
			require.NotEqual(t, http.StatusOK, w.Code, address)
		}
	})
}

// FuzzAddresses asks for anything by its code.
func FuzzAddresses(f *testing.F) {
	x := newFuzzed(f)
	for _, seed := range []string{"", "V001", "V%00", "%ff", "..", "a/b", "%2f", "?search=%00", "V001?after=%ff", "'; --", "%"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, code string) {
		header := map[string]string{"Cookie": x.cookie}
		for _, address := range []string{"/studies/S1/vehicles/" + code, "/studies/" + code, "/studies/S1/vehicles?search=" + code,
			"/api/studies/S1/vehicles/" + code, "/api/studies/S1/vehicles?after=" + code, "/shared/" + code, "/invitation/" + code,
			"/studies/S1/vehicles/" + url.PathEscape(code), "/api/studies/" + url.PathEscape(code), "/studies/S1/due?site=" + code, "/static/" + code} {
			if u, err := url.ParseRequestURI(address); err == nil && u.Host == "" {
				x.ask(t, http.MethodGet, address, "", header)
			}
		}
	})
}

// FuzzQueries asks pages for anything that their addresses may say after the
// question mark.
func FuzzQueries(f *testing.F) {
	x := newFuzzed(f)
	pages := map[string][]string{
		"vehicles": {"search", "after"}, "due": {"ahead", "site", "kind", "from"}, "due.csv": {"ahead", "site", "kind"}, "records": {"state", "from"},
		"labels": {"for"}, "rules": {"metric", "threshold", "confirm", "estimand"}, "set-up/cities.json": {"city"},
		"set-up/site": {"city", "latitude", "longitude", "max", "min"}, "vehicles/V001/letters/preview": {"language", "paper"},
	}
	names := slices.Sorted(maps.Keys(pages))
	x.as(f, "kw").settled("/studies/S1/due")
	for i := range names {
		for _, value := range []string{"", "x", "\x00", "\xff", "-1", "1e400", "NaN", "9223372036854775808", "V001", "angle"} {
			f.Add(uint8(i), value, value)
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, one, all string) {
		page := names[int(which)%len(names)]
		query := url.Values{}
		for i, name := range pages[page] {
			if query.Set(name, all); i == 0 {
				query.Set(name, one)
			}
		}
		x.ask(t, http.MethodGet, "/studies/S1/"+page+"?"+query.Encode(), "", map[string]string{"Cookie": x.cookie})
	})
}

// FuzzPhoto sends anything in place of a photo, and of what is said of it.
func FuzzPhoto(f *testing.F) {
	x := newFuzzed(f)
	const id = "01981b5e-8c00-7abc-8def-0123456789ab"
	for _, content := range []string{"", "x", "\xff\xd8\xff", "\x89PNG\r\n\x1a\n", "GIF89a\xff\xff\xff\xff", "RIFF\x00\x00\x00\x00WEBP"} {
		f.Add(id, "2025-05-30", "decon", content)
		f.Add("\x00", "0000-00-00", "\xff", content)
	}
	f.Fuzz(func(t *testing.T, photo, day, stage, content string) {
		query := url.Values{"id": {photo}, "vehicle": {"V001"}, "patch": {"RF"}, "day": {day}, "stage": {stage}}
		w := x.ask(t, http.MethodPost, "/studies/S1/photos?"+query.Encode(), content, map[string]string{"Cookie": x.cookie, "Content-Type": "image/jpeg"})
		require.True(t, json.Valid(w.Body.Bytes()), w.Body)
	})
}

// FuzzUpload hands in anything as a log, and as the form around it, and looks
// at what loading it would do.
func FuzzUpload(f *testing.F) {
	x := newFuzzed(f)
	for _, seed := range []string{"", "vehicle,site\nV001,COAST\n", "PK\x03\x04", "\xff\xfe", "--x\r\n", "vehicle;patch\n\"", strings.Repeat(",", 5000)} {
		f.Add("vehicles.csv", seed)
		f.Add("log.zip", seed)
		f.Add("../\x00", seed)
	}
	f.Fuzz(func(t *testing.T, name, content string) {
		var body strings.Builder
		form := multipart.NewWriter(&body)
		part, err := form.CreateFormFile("log", name)
		require.NoError(t, err)
		_, err = part.Write([]byte(content))
		require.NoError(t, err)
		require.NoError(t, form.Close())
		header := map[string]string{"Cookie": x.cookie, "Content-Type": form.FormDataContentType()}
		taken := x.ask(t, http.MethodPost, "/studies/S1/records/import", body.String(), header)
		if to := taken.Header().Get("Location"); to != "" {
			x.ask(t, http.MethodGet, to, "", header)
		}
		x.ask(t, http.MethodPost, "/studies/S1/records/import", content, header)
	})
}

// FuzzPasskeys answers anything to what a device is asked.
func FuzzPasskeys(f *testing.F) {
	x := newFuzzed(f)
	for _, seed := range []string{"", "{}", "null", `{"id": "AAAA", "rawId": "AAAA", "type": "public-key", "response": {}}`,
		`{"id": "AAAA", "rawId": "AAAA", "type": "public-key", "response": {"clientDataJSON": "e30", "authenticatorData": "AA", "signature": "AA", "userHandle": "AA"}}`,
		`{"id": "AAAA", "rawId": "AAAA", "type": "public-key", "response": {"clientDataJSON": "e30", "attestationObject": "oA"}}`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, sent string) {
		for begin, finish := range map[string]string{"/passkeys/begin": "/passkeys?label=x", "/sign-in/passkey/begin": "/sign-in/passkey"} {
			cookie := x.cookie
			asked := x.ask(t, http.MethodPost, begin, "", map[string]string{"Cookie": cookie})
			require.Equal(t, http.StatusOK, asked.Code)
			w := x.ask(t, http.MethodPost, finish, sent, map[string]string{"Cookie": cookie, "Content-Type": "application/json"})
			require.NotEqual(t, http.StatusOK, w.Code)
		}
	})
}
