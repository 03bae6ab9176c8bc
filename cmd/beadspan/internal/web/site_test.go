package web

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// cheap is what tests hash passwords at.
var cheap = argonCost{8, 1, 1}

// testPassword is everybody's in tests.
const testPassword = "correct horse battery staple"

// site is a server with a database of its own, and a study of two shops: NORTH
// has V001, SOUTH has V002, and V003 is of no shop.
type site struct {
	*Server
	url   string
	db    *store.Store
	study study.Study
	fleet study.Fleet
}

// newSite starts a server as opts say.
func newSite(t testing.TB, opts Options) *site {
	t.Helper()
	if opts.Store == nil {
		opts.Store = storetest.New(t)
	}
	x := startSite(t, opts)
	x.study = study.Study{ID: study.NewID(), Code: "S1", Question: "How long?", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), x.study))
	_, err := x.db.Load(t.Context(), x.study.ID, x.fleet, nil)
	require.NoError(t, err)
	return x
}

// startSite starts a server over a store that is left as it is.
func startSite(t testing.TB, opts Options) *site {
	t.Helper()
	opts.Log = slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelError}))
	opts.Version = "test"
	if opts.cost == (argonCost{}) {
		opts.cost = cheap
	}
	s, err := New(opts)
	require.NoError(t, err)
	// Tests sign in faster than people do.
	var minutes atomic.Int64
	s.throttle.now = func() time.Time { return time.Unix(60*minutes.Add(1), 0) }
	s.today = func() study.Day { return study.DayOf(2025, time.June, 1) }
	listening := httptest.NewServer(s)
	t.Cleanup(func() {
		listening.Close()
		s.Close()
	})
	return &site{Server: s, url: listening.URL, db: opts.Store, fleet: testFleet()}
}

// testFleet is three vehicles with a patch each: V001 holds, V002 is doubtful,
// V003 is spent.
func testFleet() study.Fleet {
	day := func(m time.Month, d int) study.Day { return study.DayOf(2025, m, d) }
	north, south := study.Shop{ID: study.NewID(), Code: "NORTH"}, study.Shop{ID: study.NewID(), Code: "SOUTH"}
	f := study.Fleet{
		Coatings: []study.Coating{{ID: study.NewID(), Code: "FLEX-1", Name: "house flexible"}},
		Sites:    []study.Site{{ID: study.NewID(), Code: "COAST", Name: "the <harbour>", LatitudeDeg: 54, LongitudeDeg: 8, Koppen: "Cfb"}},
		Shops:    []study.Shop{north, south},
		People:   []study.Person{{ID: study.NewID(), Code: "KW"}},
	}
	for i, readings := range [][]study.Reading{
		{{Stage: study.Washed, AnglesDeg: []float64{104, 103, 105.5}}},
		{{Stage: study.Arrival, AnglesDeg: []float64{71}}},
		{{Stage: study.Decon, AnglesDeg: []float64{60, 61, 62}}},
	} {
		v := study.Vehicle{ID: study.NewID(), Code: []string{"V001", "V002", "V003"}[i], SiteID: f.Sites[0].ID, Enrolled: day(1, 2), Garage: study.Carport}
		v.ShopID = []*study.ID{&north.ID, &south.ID, nil}[i]
		v.Patches = []study.Patch{{ID: study.NewID(), Code: "RF", CoatingID: f.Coatings[0].ID, Panel: "roof",
			Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss, Applied: day(1, 2)}}
		for j := range readings {
			readings[j].PatchID = v.Patches[0].ID
		}
		for _, on := range []study.Day{day(3, 1), day(4, 1)} {
			v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: on, OperatorID: &f.People[0].ID, Readings: readings})
		}
		v.Care = []study.Care{{ID: study.NewID(), Day: day(4, 1), Kind: study.MaintenanceWash, Note: "rain <b>"}}
		f.Vehicles = append(f.Vehicles, v)
	}
	return f
}

// steward makes the account that owns every study.
func (x *site) steward(t testing.TB, name string) study.Account {
	t.Helper()
	a := study.Account{ID: study.NewID(), Name: name, Steward: true, PasswordHash: hashPassword(testPassword, cheap)}
	require.NoError(t, x.db.AddFirstAccount(t.Context(), a))
	return a
}

// member makes an account of the study; without shops it sees all.
func (x *site) member(t testing.TB, name string, role study.Role, shops ...string) study.Account {
	t.Helper()
	a := study.Account{ID: study.NewID(), Name: name, PasswordHash: hashPassword(testPassword, cheap)}
	m := study.Membership{AccountID: a.ID, StudyID: x.study.ID, Role: role, EveryShop: len(shops) == 0}
	for _, code := range shops {
		for _, shop := range x.fleet.Shops {
			if shop.Code == code {
				m.ShopIDs = append(m.ShopIDs, shop.ID)
			}
		}
	}
	require.Len(t, m.ShopIDs, len(shops))
	require.NoError(t, x.db.AddAccount(t.Context(), a, m))
	return a
}

// stranger makes an account that has no study.
func (x *site) stranger(t testing.TB, name string) study.Account {
	t.Helper()
	a := x.member(t, name, study.Reader)
	require.NoError(t, x.db.EndMembership(t.Context(), x.study.ID, a.ID))
	return a
}

// browser asks the site for pages, and keeps cookies as a browser does.
type browser struct {
	t      testing.TB
	url    string
	client *http.Client
}

func (x *site) browser(t testing.TB) *browser {
	t.Helper()
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	return &browser{t, x.url, &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error {
		return http.ErrUseLastResponse
	}}}
}

// as signs in by the name.
func (x *site) as(t testing.TB, name string) *browser {
	t.Helper()
	b := x.browser(t)
	require.Equal(t, http.StatusSeeOther, b.post("/sign-in", url.Values{"name": {name}, "password": {testPassword}}).status)
	return b
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   string
}

func (b *browser) get(path string) answer {
	b.t.Helper()
	return b.do(http.MethodGet, path, nil, nil)
}

func (b *browser) post(path string, form url.Values) answer {
	b.t.Helper()
	return b.do(http.MethodPost, path, form, nil)
}

// do sends a request, with more headers if there are any.
func (b *browser) do(method, path string, form url.Values, header http.Header) answer {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), method, b.url+path, strings.NewReader(form.Encode()))
	require.NoError(b.t, err)
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for name, values := range header {
		r.Header[name] = values
	}
	return b.ask(r)
}

func (b *browser) ask(r *http.Request) answer {
	b.t.Helper()
	resp, err := b.client.Do(r)
	require.NoError(b.t, err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	require.NoError(b.t, err)
	return answer{resp.StatusCode, resp.Header, string(body)}
}

// settled asks for a page until its figures are worked out.
func (b *browser) settled(path string) answer {
	b.t.Helper()
	var a answer
	require.Eventually(b.t, func() bool {
		a = b.get(path)
		return !strings.Contains(a.body, "data-wait")
	}, 20*time.Second, 20*time.Millisecond)
	return a
}
