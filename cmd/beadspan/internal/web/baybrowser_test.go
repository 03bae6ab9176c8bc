package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
)

// way is what lies between the phones and the server.
type way struct {
	next http.Handler
	// around is an address of the server that the way isn't before.
	around string
	// down: nothing gets through. lost: requests do, answers don't.
	down, lost atomic.Bool
	visits     atomic.Int32 // that got through
}

// ServeHTTP lets a request through, or drops the line.
func (x *way) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if x.down.Load() {
		panic(http.ErrAbortHandler)
	}
	if strings.HasSuffix(r.URL.Path, "/visits") {
		x.visits.Add(1)
		if x.lost.Load() {
			x.next.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		}
	}
	x.next.ServeHTTP(w, r)
}

// baySite is a site whose bay is used today, over a way that can be cut. V004
// has four patches; operator bay sees all.
func baySite(t *testing.T) (*site, *way) {
	t.Helper()
	x := newSite(t, Options{})
	x.today = func() study.Day { return study.DayOfTime(time.Now()) }
	x.member(t, "bay", study.Operator)
	v := study.Vehicle{ID: study.NewID(), Code: "V004", SiteID: x.fleet.Sites[0].ID, Enrolled: study.DayOf(2025, time.March, 1)}
	for i, panel := range []string{"bonnet", "roof", "left door", "right door"} {
		v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: fmt.Sprintf("P%d", i+1), CoatingID: x.fleet.Coatings[0].ID, Panel: panel,
			Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss, Applied: study.DayOf(2025, time.March, 1)})
	}
	_, err := x.db.Log(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, study.Fleet{Vehicles: []study.Vehicle{v}})
	require.NoError(t, err)
	between := &way{next: x.Server, around: x.url}
	listening := httptest.NewServer(between)
	listening.Config.ErrorLog = nil
	t.Cleanup(listening.Close)
	x.url = listening.URL
	return x, between
}

// inBay runs scripts and taps in the bay's page.
type inBay struct {
	t   *testing.T
	ctx context.Context
	url string
}

// openBay signs in at a phone and waits until the bay opens without a network.
func openBay(t *testing.T, x *site) inBay {
	t.Helper()
	b := inBay{t, chromium(t), x.url}
	signIn(t, b.ctx, x, "bay")
	b.do(phone)
	b.goTo("/studies/S1/bay")
	b.waits(`"kept" in document.documentElement.dataset && document.querySelector("[data-key=to-V002]")`)
	return b
}

func (b inBay) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, actions...))
}

// goTo loads a page of the bay anew. Where the page is just leading elsewhere by
// itself, the browser breaks off one of the two, and is asked again.
func (b inBay) goTo(path string) {
	b.t.Helper()
	err := errors.New("not tried")
	for try := 0; err != nil && try < 20; try++ {
		if err = chromedp.Do(b.ctx, chromedp.Navigate(b.url+path)); err != nil && !strings.Contains(err.Error(), "net::ERR_ABORTED") {
			break
		}
		if err != nil {
			time.Sleep(100 * time.Millisecond)
		}
	}
	require.NoError(b.t, err)
	b.do(chromedp.WaitReady(`html[data-ready]`))
}

// waits waits until a script's value is true.
func (b inBay) waits(script string) {
	b.t.Helper()
	var last string
	for range 300 {
		if is, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool]("Boolean("+script+")")); err == nil && is {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	last, _ = chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.body.innerText`))
	require.Fail(b.t, "waited for "+script, last)
}

func (b inBay) text(selector string) string {
	b.t.Helper()
	text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf("document.querySelector(%q)?.innerText ?? ''", selector)))
	require.NoError(b.t, err)
	return text
}

// click clicks what a selector finds. A page that draws itself anew between
// finding and clicking makes the browser lose the element, and is asked again.
func (b inBay) click(selector string) {
	b.t.Helper()
	var err error
	for range 20 {
		if err = chromedp.Do(b.ctx, chromedp.Click(selector)); err == nil || !strings.Contains(err.Error(), "Could not find node") {
			break
		}
	}
	require.NoError(b.t, err)
}

// tap taps what has the key.
func (b inBay) tap(keys ...string) {
	b.t.Helper()
	for _, key := range keys {
		b.click(`[data-key="` + key + `"]`)
	}
}

// types taps the pad.
func (b inBay) types(keys string) {
	b.t.Helper()
	for _, key := range keys {
		b.click(`[data-pad="` + string(key) + `"]`)
	}
}

// save saves the visit, which the phone then holds.
func (b inBay) save() {
	b.t.Helper()
	b.tap("save")
	b.waits(`document.getElementById("news").innerText !== "" && document.querySelector("[data-key=search]")`)
}

// waitsUntilSent waits until nothing is left to be sent.
func (b inBay) waitsUntilSent() {
	b.t.Helper()
	b.waits(`document.getElementById("way").dataset.waiting === "0"`)
}

// waitsUntilKept waits until a draft with the text in it is on the phone's disk.
func (b inBay) waitsUntilKept(text string) {
	b.t.Helper()
	const drafts = `new Promise((resolve) => {
		const opening = indexedDB.open("beadspan");
		opening.onsuccess = () => {
			const all = opening.result.transaction("drafts").objectStore("drafts").getAll();
			all.onsuccess = () => { opening.result.close(); resolve(JSON.stringify(all.result)); };
		};
	})`
	require.Eventually(b.t, func() bool {
		kept, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](drafts, chromedp.EvalAwaitPromise))
		return err == nil && strings.Contains(kept, text)
	}, 20*time.Second, 50*time.Millisecond)
}

// waiting is how many entries the phone says are still to be sent.
func (b inBay) waiting() string {
	b.t.Helper()
	n, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.getElementById("way").dataset.waiting`))
	require.NoError(b.t, err)
	return n
}

// stored is the vehicle in the database.
func (x *site) stored(t *testing.T, code string) study.Vehicle {
	t.Helper()
	f, err := x.db.VehicleByCode(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, code)
	require.NoError(t, err)
	return f.Vehicles[0]
}

// A visit of four patches, with a sheeting test on each, takes less than 60
// taps.
func TestBayVisitInFewTaps(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	b.do(chromedp.Evaluate[chromedp.Void](`window.taps = 0; addEventListener("click", () => window.taps++, true); undefined`))
	began := time.Now()
	b.tap("to-V004", "stage-washed")
	for range 4 {
		b.types("10498101") // each number ends by itself: 104, 98, 101
	}
	for i := range 4 {
		b.tap(fmt.Sprintf("P%d-more-summary", i+1))
		b.tap(fmt.Sprintf("P%d-watch", i+1))
		b.tap(fmt.Sprintf("P%d-watch", i+1))
	}
	lookedAtNow(t, b, "bay-visit")
	b.save()
	taps, err := chromedp.Run(b.ctx, chromedp.Evaluate[int](`window.taps`))
	require.NoError(t, err)
	t.Logf("%d taps, %v by a machine", taps, time.Since(began).Round(time.Millisecond))
	assert.Less(t, taps, 60)
	b.waitsUntilSent()
	v := x.stored(t, "V004")
	require.Len(t, v.Checkups, 1)
	require.Len(t, v.Checkups[0].Readings, 4)
	for _, r := range v.Checkups[0].Readings {
		assert.Equal(t, study.Washed, r.Stage)
		assert.Equal(t, []float64{104, 98, 101}, r.AnglesDeg)
		assert.NotNil(t, r.SheetTimeS)
	}
	require.Len(t, v.Care, 1)
	assert.Equal(t, study.MaintenanceWash, v.Care[0].Kind)
}

// lookedAtNow checks the page as it is, at a phone's size.
func lookedAtNow(t *testing.T, b inBay, name string) {
	t.Helper()
	screenshot(t, b.ctx, name)
	requireAccessible(t, b.ctx, name)
	requireFits(t, b.ctx, name)
}

// Every screen of the bay, at a phone and at a desk.
func TestBayInABrowser(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	b.goTo("/studies/S1/bay/V002")
	b.tap("stage-arrival")
	b.types("71")
	b.waitsUntilKept("71")
	for name, path := range map[string]string{
		"bay":         "/studies/S1/bay",
		"bay-vehicle": "/studies/S1/bay/V002",
		"bay-none":    "/studies/S1/bay/V999",
		"bay-queue":   "/studies/S1/bay?waiting",
		"bay-new-job": "/studies/S1/bay?job=",
	} {
		lookedAt(t, b.ctx, x.url+path, name)
	}
	b.do(phone, chromedp.Navigate(x.url+"/settings"), chromedp.Click(`[name=language][value=de]`), chromedp.Submit(`form[action="/settings"]`),
		chromedp.WaitReady(`html[lang=de]`))
	b.goTo("/studies/S1/bay/V002")
	assert.Contains(t, b.text("#bay"), "Nach Dekon")
	lookedAtNow(t, b, "bay-german")
}

// A visit with nothing but a keyboard, from the page's top to the saved visit.
func TestBayByKeyboard(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	b.goTo("/studies/S1/bay")
	b.waits(`document.querySelector("[data-key=to-V002]")`)
	b.tabsTo("search")
	b.do(chromedp.KeyEvent("V001\r"))
	b.waits(`document.querySelector("[data-key=stage-washed]")`)
	b.tabsTo("stage-washed")
	b.do(chromedp.KeyEvent("\r"))
	b.do(chromedp.KeyEvent("104.5101"))
	b.tabsTo("RF-more-summary")
	b.do(chromedp.KeyEvent("\r"))
	b.tabsTo("RF-grade-4")
	b.do(chromedp.KeyEvent(" "))
	b.tabsTo("RF-photo") // within reach; what it opens is the phone's own
	assert.Contains(t, b.text(`[data-key=RF-angle-0]`), "104.5")
	assert.Contains(t, b.text(`[data-key=RF-angle-1]`), "101")
	b.tabsTo("save")
	b.do(chromedp.KeyEvent("\r"))
	b.waits(`document.querySelector("[data-key=search]")`)
	b.waitsUntilSent()
	v := x.stored(t, "V001")
	assert.Equal(t, []float64{104.5, 101}, v.Checkups[2].Readings[0].AnglesDeg)
	assert.Equal(t, 4, *v.Checkups[2].Readings[0].BeadGrade)
}

// tabsTo presses Tab until what has the key has the focus, and shows it.
func (b inBay) tabsTo(key string) {
	b.t.Helper()
	for range 80 {
		b.do(chromedp.KeyEvent("\t"))
		at, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.activeElement.dataset.key ?? ""`))
		require.NoError(b.t, err)
		if at == key {
			return
		}
	}
	require.Fail(b.t, "Tab never came to "+key)
}
