package web

import (
	"archive/zip"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestWholeDay is the first day of a shop, in its browsers from beginning to
// end: nobody touches a command line.
func TestWholeDay(t *testing.T) {
	x, between := newShop(t)
	beginStudy(t, chromium(t), x)
	letPeopleIn(t, x)

	profile := t.TempDir()
	first, quit := chromiumIn(t, profile)
	b := inBay{t, first, x.url}
	signIn(t, b.ctx, x, "bay")
	b.do(phone)
	b.goTo("/studies/film-2026/bay")
	b.waits(`"kept" in document.documentElement.dataset`)
	coatVehicle(b)

	between.down.Store(true) // out in the yard
	b.goTo("/studies/film-2026/bay/V001")
	b.waits(`document.getElementById("way").innerText.includes("No way to the server")`)
	b.tap("stage-arrival")
	b.types("717069" + "727170") // both fail dirty
	b.tap("stage-decon")
	b.types("104103102" + "606162") // the bonnet was masked, the door is spent
	b.waits(`document.querySelector("[data-patch=BN] .feedback").innerText.includes("dirt hid it")`)
	b.waits(`document.querySelector("[data-patch=LD] .feedback").innerText.includes("fails clean: spent")`)
	b.photographs("LD", cameraFile(t, 800, 600))
	b.waits(`document.querySelector("[data-patch=LD] .photo img")?.naturalWidth === 800`)
	lookedAtNow(t, b, "day-visit")
	b.save()
	assert.Equal(t, "2", b.waiting(), "the visit and its photo")
	quit() // the battery is dead

	second, _ := chromiumIn(t, profile)
	b = inBay{t, second, x.url}
	b.do(phone)
	b.goTo("/studies/film-2026/bay?waiting")
	b.waits(`document.querySelectorAll("[data-entry=waiting]").length === 2`)
	require.Empty(t, x.stored(t, "V001").Checkups)
	between.down.Store(false)
	b.waits(`document.querySelectorAll("[data-entry=waiting]").length === 0`)
	visit := x.stored(t, "V001").Checkups
	require.Len(t, visit, 1, "stored once")
	require.Len(t, visit[0].Readings, 4)
	assert.EqualValues(t, 1, between.visits.Load())
	require.Len(t, x.keptPhotos(t), 1)

	correctReading(b)
	desk := signedInBrowser(t, x, "kw")
	amendReading(t, desk, x)
	seeVehicle(t, desk, x)
	exportsRecords(t, x)
	keepsOut(t, x)
}

// newShop is a server that nobody has used yet, over a way that can be cut.
func newShop(t *testing.T) (*site, *way) {
	t.Helper()
	x := emptySite(t, Options{SetupCode: "ABCDEF"})
	x.today = func() study.Day { return study.DayOfTime(time.Now()) }
	between := &way{next: x.Server, around: x.url}
	listening := httptest.NewServer(between)
	t.Cleanup(listening.Close)
	x.url = listening.URL
	return x, between
}

// beginStudy makes the owner, the study, a site, a coating and two shops.
func beginStudy(t *testing.T, ctx context.Context, x *site) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Navigate(x.url+"/"),
		chromedp.SendKeys(`[name=code]`, "ABCDEF"),
		chromedp.SendKeys(`[name=name]`, "kw"),
		chromedp.SendKeys(`[name=password]`, testPassword),
		chromedp.Submit(`form`),

		chromedp.WaitVisible(`[name=threshold]`), // the form of the first study
		chromedp.SendKeys(`[name=code]`, "film-2026"),
		chromedp.SendKeys(`[name=question]`, "How long does it last here?"),
		chromedp.SetValue(`[name=confirm]`, "1"),
		chromedp.Click(`button[value=add]`),

		chromedp.WaitVisible(`.steps`),
		chromedp.Navigate(x.url+"/studies/film-2026/set-up/site"),
		chromedp.SendKeys(`[name=city]`, "Bremerhaven\r"),
		chromedp.WaitVisible(`[name=sunshine_h]`),
		chromedp.SendKeys(`[name=code]`, "HARBOUR"),
		chromedp.SendKeys(`[name=sunshine_h]`, "1600"),
		chromedp.Click(`form.rules button:not([formmethod])`),

		chromedp.WaitVisible(`.news`),
		chromedp.SendKeys(`#coating [name=code]`, "K-20"),
		chromedp.SendKeys(`[name=claim_low_months]`, "12"),
		chromedp.SendKeys(`[name=claim_high_months]`, "24"),
		chromedp.Click(`#coating button`),
		chromedp.WaitVisible(`#coatings-h ~ .scroll`), // the list has it
		chromedp.SendKeys(`[name=shop]`, "NORTH\r"),
		chromedp.WaitVisible(`.counts`),
		chromedp.SendKeys(`[name=shop]`, "SOUTH\r"),
		chromedp.WaitVisible(`.counts li:nth-child(2)`),
	))
	screenshot(t, ctx, "day-set-up")
	var err error
	x.study, err = x.db.StudyByCode(t.Context(), "film-2026")
	require.NoError(t, err)
}

// letPeopleIn hands links to an operator of each shop and to a reader, who
// choose their passwords.
func letPeopleIn(t *testing.T, x *site) {
	t.Helper()
	shops, err := x.db.Shops(t.Context(), x.study.ID)
	require.NoError(t, err)
	require.Len(t, shops, 2)
	owner := x.as(t, "kw")
	for name, form := range map[string]url.Values{
		"bay":    {"role": {"operator"}, "shop": {shops[0].ID.String()}},
		"south":  {"role": {"operator"}, "shop": {shops[1].ID.String()}},
		"reader": {"role": {"reader"}},
	} {
		form.Set("name", name)
		link := regexp.MustCompile(`/invitation/\w+`).FindString(owner.post("/studies/film-2026/people", form).body)
		require.NotEmpty(t, link, name)
		assert.Equal(t, http.StatusSeeOther, x.browser(t).post(link, url.Values{"password": {testPassword}}).status)
	}
}

// coatVehicle logs the coating job of a new vehicle, a year ago.
func coatVehicle(b inBay) {
	b.t.Helper()
	b.goTo("/studies/film-2026/bay?job=V001")
	b.waits(`document.querySelector("[name=site] option[value=HARBOUR]") && document.querySelector("[name=shop] option[value=NORTH]")`)
	b.do(chromedp.SetValue(`[name=shop]`, "NORTH"), chromedp.SendKeys(`[name=coating]`, "K-20"),
		chromedp.Click(`[data-key=panel-BN]`), chromedp.Click(`[data-key=panel-LD]`),
		chromedp.SetValue(`[name=applied]`, time.Now().AddDate(-1, 0, 0).Format("2006-01-02")))
	lookedAtNow(b.t, b, "day-job")
	b.do(chromedp.Click(`form.job button`))
	b.waits(`document.querySelector("[data-key=stage-arrival]")`)
	b.waitsUntilSent()
}

// correctReading corrects a drop of the visit on the phone.
func correctReading(b inBay) {
	b.t.Helper()
	b.goTo("/studies/film-2026/bay/V001")
	b.waits(`[...document.querySelectorAll("[data-entry=sent]")].some((e) => e.innerText.includes("visit"))`)
	b.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("[data-entry=sent]")].find((e) => e.innerText.includes("visit")).querySelector("button").click()`))
	b.waits(`document.querySelector("[data-key=LD-angle-2]")?.innerText.includes("62")`)
	b.tapClear("LD-angle-2", `true`)
	b.do(chromedp.Click(`[data-pad=erase]`))
	b.types("5") // 62 was a slip for 65
	b.save()
	b.goTo("/studies/film-2026/bay?waiting")
	b.waits(`document.querySelector("[data-entry=proposed]")`)
}

// amendReading: the owner accepts the correction, with a reason.
func amendReading(t *testing.T, desk context.Context, x *site) {
	t.Helper()
	require.NoError(t, chromedp.Do(desk,
		chromedp.Navigate(x.url+"/studies/film-2026/records"),
		chromedp.WaitVisible(`.trail`),
		chromedp.SendKeys(`.decide input[name=by]`, "KW"),
		chromedp.SendKeys(`.decide input[name=why]`, "a slip of the thumb"),
		chromedp.Click(`.decide button[value=accept]`),
		chromedp.WaitNotPresent(`.trail`),
	))
	readings := x.stored(t, "V001").Checkups[0].Readings
	assert.Equal(t, []float64{60, 61, 65}, readings[3].AnglesDeg)
}

// seeVehicle: the vehicle's page tells what was seen, and shows the photo.
func seeVehicle(t *testing.T, desk context.Context, x *site) {
	t.Helper()
	require.NoError(t, chromedp.Do(desk, chromedp.Navigate(x.url+"/studies/film-2026/vehicles/V001"), chromedp.WaitVisible(`.photos img`)))
	screenshot(t, desk, "day-vehicle")
	requireAccessible(t, desk, "day-vehicle")
	body := x.as(t, "kw").settled("/studies/film-2026/vehicles/V001").body
	assert.Contains(t, body, "On 1 visit it failed before the decon wash and passed after it")
	assert.Equal(t, 1, strings.Count(body, `class="standing holding"`))
	assert.Equal(t, 1, strings.Count(body, `class="standing spent"`))
	assert.Contains(t, body, `/small.jpg" alt="left door LD, Decon washed, `)
}

// exportsRecords: everything can be taken along, the photo as well.
func exportsRecords(t *testing.T, x *site) {
	t.Helper()
	a := x.as(t, "kw").get("/studies/film-2026/records/export.zip?format=csv&photos=true")
	require.Equal(t, http.StatusOK, a.status)
	z, err := zip.NewReader(strings.NewReader(a.body), int64(len(a.body)))
	require.NoError(t, err)
	lines := func(name string) int {
		return strings.Count(readMember(t, z, name), "\n") - 1 // but the heading
	}
	assert.Equal(t, 4, lines("csv/checkups.csv"), "a row for each reading")
	assert.Equal(t, 1, lines("csv/photos.csv"))
	assert.Contains(t, readMember(t, z, "csv/amendments.csv"), "a slip of the thumb")
	assert.NotEmpty(t, readMember(t, z, "photos/"+x.keptPhotos(t)[0].ID.String()+".jpg"))
}

// keepsOut: who only reads logs nothing, and the other shop finds nothing.
func keepsOut(t *testing.T, x *site) {
	t.Helper()
	at := "/studies/film-2026"
	reader, south := x.as(t, "reader"), x.as(t, "south")
	visit := aVisit()
	visit.Readings[0].Patch = "BN"
	assert.Equal(t, http.StatusOK, reader.get(at+"/vehicles/V001").status)
	assert.Equal(t, http.StatusForbidden, reader.sendJSON(at+"/visits", visit).status)
	assert.Equal(t, http.StatusForbidden, reader.get(at+"/bay").status)
	assert.Equal(t, http.StatusForbidden, reader.get(at+"/set-up/site").status)
	assert.Equal(t, http.StatusNotFound, south.get(at+"/vehicles/V001").status)
	assert.Equal(t, http.StatusNotFound, south.get(at+"/vehicles/V001/photos").status)
	assert.Equal(t, http.StatusNotFound, south.sendJSON(at+"/visits", visit).status)
	assert.Len(t, x.stored(t, "V001").Checkups, 1)
}

func readMember(t *testing.T, z *zip.Reader, name string) string {
	t.Helper()
	file, err := z.Open(name)
	require.NoError(t, err, name)
	content, err := io.ReadAll(file)
	require.NoError(t, err, name)
	return string(content)
}
