package web

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
)

// cameraFile is a picture as a camera writes it: larger than anybody looks at,
// and with the camera's notes in it.
func cameraFile(t *testing.T, width, height int) string {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, width, height))
	for i := range picture.Pix {
		picture.Pix[i] = uint8(i / 4 % width * 255 / width)
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, nil))
	notes := "Exif\x00\x00GPS 53.5 N 8.6 E"
	sent := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(2 + len(notes))}, notes...)
	file := filepath.Join(t.TempDir(), "camera.jpg")
	require.NoError(t, os.WriteFile(file, append(sent, out.Bytes()[2:]...), 0o600))
	return file
}

// photographs takes a photo of a patch, as if the camera had made the file.
func (b inBay) photographs(patch, file string) {
	b.t.Helper()
	b.tapClear(patch+"-more-summary", `!document.querySelector("[data-patch=`+patch+`] details").open`)
	b.tapClear(patch+"-photo", `true`)
	b.do(chromedp.SetUploadFiles(`#photo-file`, []string{file}))
}

// tapClear taps what has the key where a script's value is true, clear of the
// keys at the foot of the screen.
func (b inBay) tapClear(key, where string) {
	b.t.Helper()
	is, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](where+` && !document.querySelector('[data-key="`+key+`"]').scrollIntoView({block: "center"})`))
	require.NoError(b.t, err)
	if is {
		b.tap(key)
	}
}

// keptPhotos lists the photos in the database.
func (x *site) keptPhotos(t *testing.T) []study.KeptPhoto {
	t.Helper()
	list, err := x.db.Photos(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, store.PhotoQuery{})
	require.NoError(t, err)
	return list
}

// Photos taken without a network are drawn small, survive the browser's end,
// and go up once with their visit.
func TestBayPhotosWithoutANetwork(t *testing.T) {
	x, between := baySite(t)
	profile := t.TempDir()
	first, quit := chromiumIn(t, profile)
	b := inBay{t, first, x.url}
	signIn(t, b.ctx, x, "bay")
	b.do(phone)
	b.goTo("/studies/S1/bay")
	b.waits(`"kept" in document.documentElement.dataset && document.querySelector("[data-key=to-V002]")`)
	between.down.Store(true)
	b.goTo("/studies/S1/bay/V004")
	b.tap("stage-washed")
	b.types("104")
	camera := cameraFile(t, 3000, 2000)
	b.photographs("P1", camera)
	b.waits(`document.querySelector("[data-patch=P1] .photo img")?.naturalWidth === 1600`)
	b.photographs("P2", camera)
	b.waits(`document.querySelector("[data-patch=P2] .photo img")?.naturalWidth === 1600`)
	b.photographs("P2", camera)
	b.waits(`document.querySelectorAll("[data-patch=P2] .photo img").length === 2`)
	lookedAtNow(t, b, "bay-photos")
	b.tap("P2-photo-away-0")
	b.waits(`document.querySelectorAll("[data-patch=P2] .photo img").length === 1`)
	quit() // in the middle of the visit

	second, _ := chromiumIn(t, profile)
	b = inBay{t, second, x.url}
	b.do(phone)
	b.goTo("/studies/S1/bay/V004")
	b.waits(`document.querySelectorAll(".photo img").length === 2`)
	b.save()
	assert.Equal(t, "3", b.waiting(), "the visit and two photos")
	b.goTo("/studies/S1/bay?waiting")
	b.waits(`document.querySelectorAll("[data-entry=waiting]").length === 3`)
	lookedAtNow(t, b, "bay-photos-waiting")
	assert.Empty(t, x.keptPhotos(t))
	between.down.Store(false)
	b.waits(`document.querySelectorAll("[data-entry=sent]").length === 3`)

	photos := x.keptPhotos(t)
	require.Len(t, photos, 2)
	for i, patch := range []string{"P1", "P2"} {
		assert.Equal(t, patch, photos[i].Patch)
		assert.Equal(t, study.Washed, photos[i].Stage)
		assert.Equal(t, [2]int{1600, 1067}, [2]int{photos[i].WidthPx, photos[i].HeightPx})
	}
	_, kept, err := x.db.Photo(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, "V004", photos[0].ID, false)
	require.NoError(t, err)
	assert.NotContains(t, string(kept), "GPS")
	left, err := chromedp.Run(b.ctx, chromedp.Evaluate[int](`new Promise((resolve) => {
		const opening = indexedDB.open("beadspan");
		opening.onsuccess = () => {
			const count = opening.result.transaction("photos").objectStore("photos").count();
			count.onsuccess = () => { opening.result.close(); resolve(count.result); };
		};
	})`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.Zero(t, left, "sent pictures leave the phone")

	b.do(chromedp.Navigate(x.url+"/studies/S1/vehicles/V004"), chromedp.WaitVisible(`.photos img`))
	lookedAt(t, b.ctx, x.url+"/studies/S1/vehicles/V004/photos", "photos")
	lookedAt(t, b.ctx, x.url+"/studies/S1/vehicles/V004/photos/"+photos[0].ID.String(), "photo")
}

// A phone without room says so, and keeps what was read.
func TestBayPhotoWhenThePhoneIsFull(t *testing.T) {
	x, _ := baySite(t)
	b := openBay(t, x)
	b.tap("to-V002", "stage-washed")
	b.types("104")
	b.do(chromedp.Evaluate[chromedp.Void](`
		const put = IDBObjectStore.prototype.put;
		IDBObjectStore.prototype.put = function (value) {
			if (this.name === "photos") throw new DOMException("no room", "QuotaExceededError");
			return put.call(this, value);
		}; undefined`))
	b.photographs("RF", cameraFile(t, 400, 300))
	b.waits(`document.getElementById("news").innerText.includes("no room for the photo")`)
	assert.Contains(t, b.text("[data-patch=RF] .fault"), "no room for the photo", "beside the panel too")
	lookedAtNow(t, b, "bay-photo-full")
	notes := filepath.Join(t.TempDir(), "notes.jpg")
	require.NoError(t, os.WriteFile(notes, []byte("not a picture"), 0o600))
	b.photographs("RF", notes)
	b.waits(`document.getElementById("news").innerText.includes("be read")`)
	b.save()
	b.waitsUntilSent()
	assert.Len(t, x.stored(t, "V002").Checkups, 3)
	assert.Empty(t, x.keptPhotos(t))
}
