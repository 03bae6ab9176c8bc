package web

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// The server can't be reached: the bay opens, logs, survives being closed, and
// sends when the server is back, once. No event tells the phone that it is.
func TestBayWithoutANetwork(t *testing.T) {
	x, between := baySite(t)
	profile := t.TempDir()
	first, quit := chromiumIn(t, profile)
	b := inBay{t, first, x.url}
	signIn(t, b.ctx, x, "bay")
	b.goTo("/studies/S1/bay")
	b.waits(`"kept" in document.documentElement.dataset && document.querySelector("[data-key=to-V002]")`)

	between.down.Store(true)
	b.goTo("/studies/S1/bay/V002")
	b.waits(`document.getElementById("way").innerText.includes("No way to the server")`)
	b.tap("stage-decon")
	b.types("104")
	b.waitsUntilKept("104")
	quit() // in the middle of a visit

	second, quit := chromiumIn(t, profile)
	b = inBay{t, second, x.url}
	b.do(phone)
	b.goTo("/studies/S1/bay/V002")
	b.waits(`document.querySelector("[data-key=RF-angle-0]").innerText.includes("104")`)
	b.tap("RF-angle-1")
	b.types("103102")
	lookedAtNow(t, b, "bay-offline")
	b.save()
	assert.Equal(t, "1", b.waiting())
	logJobOffline(b)
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelectorAll("[data-entry=waiting]").length === 3`)
	lookedAtNow(t, b, "bay-waiting")
	quit()
	require.Len(t, x.stored(t, "V002").Checkups, 2)

	third, _ := chromiumIn(t, profile)
	b = inBay{t, third, x.url}
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelectorAll("[data-entry=waiting]").length === 3`)
	between.down.Store(false)
	b.waits(`document.querySelectorAll("[data-entry=sent]").length === 3`)

	v := x.stored(t, "V002")
	require.Len(t, v.Checkups, 3)
	assert.Equal(t, []study.Reading{{PatchID: v.Patches[0].ID, Stage: study.Decon, AnglesDeg: []float64{104, 103, 102}}}, v.Checkups[2].Readings)
	fresh := x.stored(t, "V777")
	require.Len(t, fresh.Patches, 2)
	assert.InDelta(t, 31, *fresh.Patches[0].Job.AirTempC, 0)
	require.Len(t, fresh.Checkups, 1, "the visit that followed the job")
	assert.EqualValues(t, 2, between.visits.Load())
}

// logJobOffline logs a job on a vehicle that nobody knows yet, and a visit of it.
func logJobOffline(b inBay) {
	b.t.Helper()
	logJob(b, "V777", `undefined`)
	b.tap("stage-arrival")
	b.types("98")
	b.save()
}

// logJob logs a job of two panels in the heat, and runs a script before it is
// saved.
func logJob(b inBay, vehicle, script string) {
	b.t.Helper()
	b.goTo("/studies/S1/bay?job=" + vehicle)
	b.do(chromedp.SendKeys(`[name=coating]`, "FLEX-1"), chromedp.Click(`[data-key=panel-BN]`), chromedp.Click(`[data-key=panel-LD]`),
		chromedp.SendKeys(`[name=air_temp_c]`, "31"))
	b.waits(`document.querySelector(".warnings").innerText.includes("10 to 25 °C is usual")`)
	lookedAtNow(b.t, b, "bay-job")
	b.do(chromedp.Evaluate[chromedp.Void](script), chromedp.Click(`form.job button`))
	b.waits(`document.querySelector("[data-key=stage-arrival]")`)
}

// The answer gets lost, so that the phone sends the visit twice.
func TestBayWhenAnAnswerIsLost(t *testing.T) {
	x, between := baySite(t)
	b := openBay(t, x)
	b.tap("to-V002", "stage-washed")
	b.types("104")
	between.lost.Store(true)
	b.save()
	b.waits(`document.getElementById("way").innerText.includes("No way to the server")`)
	require.Len(t, x.stored(t, "V002").Checkups, 3, "it was stored")
	assert.Equal(t, "1", b.waiting(), "and the phone doesn't know")
	between.lost.Store(false)
	b.waitsUntilSent()
	assert.GreaterOrEqual(t, between.visits.Load(), int32(2))
	v := x.stored(t, "V002")
	assert.Len(t, v.Checkups, 3)
	assert.Len(t, v.Care, 2)
}

// Two phones log the same panel of the same vehicle: the second one's reading
// is neither dropped nor does it overwrite the first.
func TestBayWithTwoPhones(t *testing.T) {
	x, between := baySite(t)
	b, other := openBay(t, x), x.as(t, "bay")
	between.down.Store(true)
	b.tap("to-V002", "stage-washed")
	b.types("104")
	b.save()

	visit := aVisit()
	visit.Vehicle, visit.Day = "V002", x.today()
	visit.Readings[0].AnglesDeg = []float64{88}
	other.url = between.around
	require.Equal(t, "stored", resultOf(t, other.sendJSON("/studies/S1/visits", visit)).Result)
	between.down.Store(false)
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelector("[data-entry=proposed]")`)
	assert.Contains(t, b.text("[data-entry=proposed]"), "Drop angles [88] → [104]")
	lookedAtNow(t, b, "bay-proposed")

	v := x.stored(t, "V002")
	require.Len(t, v.Checkups, 3)
	assert.Equal(t, []float64{88}, v.Checkups[2].Readings[0].AnglesDeg)
	amendments, err := x.db.Amendments(t.Context(), x.study.ID, study.Proposed)
	require.NoError(t, err)
	assert.Len(t, amendments, 1)
}

// The words say what the readings prove: failed dirty, then passed clean.
func TestBayMaskedAndSpent(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	b.tap("to-V002", "stage-arrival")
	b.types("717069")
	b.waits(`document.querySelector(".feedback").innerText.includes("decon wash, then read again")`)
	lookedAtNow(t, b, "bay-doubtful")
	b.tap("RF-decon")
	b.types("104")
	b.types("105")
	b.types("80")
	b.waits(`document.querySelector(".feedback").innerText.includes("take another drop")`)
	b.do(chromedp.Click(`[data-pad=undo]`), chromedp.Click(`[data-pad=undo]`))
	b.types("103")
	b.waits(`document.querySelector(".feedback").innerText.includes("dirt hid it")`)
	assert.NotContains(t, b.text(".feedback"), "take another")
	b.save()
	b.waitsUntilSent()

	b.goTo("/studies/S1/bay/V003")
	b.tap("stage-decon")
	b.types("616059")
	b.waits(`document.querySelector(".feedback").innerText.includes("fails clean")`)
	b.save()
	b.waitsUntilSent()

	fleet, err := x.db.Fleet(t.Context(), x.study.ID)
	require.NoError(t, err)
	followed := fleet.Follow(x.study.Protocol)
	assert.Equal(t, study.Holding, followed[1].Span.Standing)
	assert.Equal(t, 1, followed[1].Span.Decided.Masked)
	assert.Equal(t, study.Spent, followed[2].Span.Standing)
}

// The server refuses what was logged: it stays on the phone until it is put
// right. Here a coating job names a shop that isn't there any more.
func TestBayWhenARecordIsRefused(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	logJob(b, "V777", `document.querySelector("[name=shop]").add(new Option("GONE")); document.querySelector("[name=shop]").value = "GONE"`)
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelector("[data-entry=refused]")`)
	assert.Contains(t, b.text("[data-entry=refused]"), "expected the code of a shop of yours")
	lookedAtNow(t, b, "bay-refused")
	b.do(chromedp.Click(`[data-entry=refused] button`)) // Change
	b.waits(`document.querySelector("[name=coating]")?.value === "FLEX-1" && document.querySelectorAll("[name=panel]:checked").length === 2`)
	b.do(chromedp.Click(`form.job button`))
	b.waits(`document.querySelector("[data-key=stage-arrival]")`)
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelectorAll("[data-entry]").length === 1 && document.querySelector("[data-entry=sent]")`)
	assert.Len(t, x.stored(t, "V777").Patches, 2)
}

// The session ended while the phone was away: what was logged waits until
// somebody signs in again.
func TestBayWhenSignedOut(t *testing.T) {
	x, between := baySite(t)
	b := openBay(t, x)
	between.down.Store(true)
	b.tap("to-V002", "stage-washed")
	b.types("104")
	b.save()
	account, err := x.db.AccountByName(t.Context(), "bay")
	require.NoError(t, err)
	_, err = x.db.SetPassword(t.Context(), account.ID, hashPassword(testPassword, cheap)) // ends its sessions
	require.NoError(t, err)
	between.down.Store(false)
	b.waits(`document.getElementById("way").innerText.includes("Sign in to send")`)
	assert.Equal(t, "1", b.waiting())
	signIn(t, b.ctx, x, "bay")
	b.goTo("/studies/S1/bay")
	b.waitsUntilSent()
	assert.Len(t, x.stored(t, "V002").Checkups, 3)
}
