package web

import (
	"bytes"
	"image"
	"image/jpeg"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
)

// photoTries has a line for each route of photos.
func photoTries() map[string]try {
	at := "/studies/S1/vehicles/V001/photos"
	photo := "/studies/{study}/vehicles/{vehicle}/photos/{photo}"
	none := at + "/" + study.NewID().String()
	return map[string]try{
		"GET /studies/{study}/vehicles/{vehicle}/photos": {at, nil, http.StatusOK},
		"GET " + photo:                 {none, nil, http.StatusNotFound},
		"POST " + photo:                {none, nil, http.StatusNotFound},
		"GET " + photo + "/large.jpg":  {none + "/large.jpg", nil, http.StatusNotFound},
		"GET " + photo + "/small.jpg":  {none + "/small.jpg", nil, http.StatusNotFound},
		"POST /studies/{study}/photos": {"/studies/S1/photos", nil, http.StatusUnprocessableEntity},
	}
}

// aPicture is a JPEG as a phone makes it; shade makes pictures differ.
func aPicture(t testing.TB, shade uint8) []byte {
	t.Helper()
	picture := image.NewGray(image.Rect(0, 0, 400, 300))
	for i := range picture.Pix {
		picture.Pix[i] = shade + uint8(i%400/4)
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, nil))
	return out.Bytes()
}

// sentPhoto is what stands in the address of a photo that a phone sends.
func sentPhoto(vehicle string) url.Values {
	return url.Values{"id": {study.NewID().String()}, "vehicle": {vehicle}, "patch": {"RF"}, "stage": {"washed"}, "day": {"2025-05-30"}}
}

func (b *browser) sendPhoto(query url.Values, picture []byte) answer {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+"/studies/S1/photos?"+query.Encode(), bytes.NewReader(picture))
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", "image/jpeg")
	return b.ask(r)
}

// A photo goes up once, shows on the vehicle's page, opens large, and is
// private.
func TestPhotoOfAPanel(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "bay", study.Operator)
	x.member(t, "reader", study.Reader)
	x.member(t, "owner", study.Owner)
	bay, reader, owner := x.as(t, "bay"), x.as(t, "reader"), x.as(t, "owner")
	query, picture := sentPhoto("V001"), aPicture(t, 20)
	assert.JSONEq(t, `{"result":"stored"}`, bay.sendPhoto(query, picture).body)
	assert.JSONEq(t, `{"result":"known"}`, bay.sendPhoto(query, picture).body)
	assert.Equal(t, http.StatusForbidden, reader.sendPhoto(sentPhoto("V001"), picture).status)

	at := "/studies/S1/vehicles/V001/photos/" + query.Get("id")
	page := reader.get("/studies/S1/vehicles/V001").body
	assert.Contains(t, page, `src="`+at+`/small.jpg" alt="roof RF, Washed, 30 May 2025"`)
	assert.Contains(t, reader.get("/studies/S1/vehicles/V001/photos").body, at)
	large := reader.get(at).body
	assert.Contains(t, large, `src="`+at+`/large.jpg"`)
	assert.Contains(t, large, "taken by bay")
	assert.NotContains(t, large, "Remove for good", "a reader removes nothing")

	sent := reader.get(at + "/large.jpg")
	assert.Equal(t, "image/jpeg", sent.header.Get("Content-Type"))
	assert.Equal(t, "private, no-cache", sent.header.Get("Cache-Control"))
	size, err := jpeg.DecodeConfig(strings.NewReader(sent.body))
	require.NoError(t, err)
	assert.Equal(t, [2]int{400, 300}, [2]int{size.Width, size.Height})
	again := reader.do(http.MethodGet, at+"/large.jpg", nil, http.Header{"If-None-Match": {sent.header.Get("Etag")}})
	assert.Equal(t, http.StatusNotModified, again.status)

	assert.Equal(t, http.StatusForbidden, bay.post(at, url.Values{"why": {"a plate"}}).status)
	unsaid := owner.post(at, url.Values{"why": {" "}})
	assert.Equal(t, http.StatusUnprocessableEntity, unsaid.status)
	assert.Contains(t, unsaid.body, "expected the reason")
	require.Equal(t, http.StatusSeeOther, owner.post(at, url.Values{"why": {"a plate"}}).status)
	assert.Equal(t, http.StatusNotFound, reader.get(at+"/large.jpg").status)
	assert.Contains(t, owner.get("/studies/S1/vehicles/V001/photos").body, "No photo was taken yet")
	assert.JSONEq(t, `{"result":"known"}`, bay.sendPhoto(query, picture).body, "a phone that didn't hear sends it again, and it stays away")
	assert.Equal(t, http.StatusNotFound, reader.get(at).status)
}

// Another shop's photos are not found, like photos that aren't there.
func TestPhotosByShop(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	x.member(t, "south", study.Operator, "SOUTH")
	north, south := x.as(t, "north"), x.as(t, "south")
	query := sentPhoto("V001")
	require.Equal(t, http.StatusOK, north.sendPhoto(query, aPicture(t, 20)).status)
	at := "/studies/S1/vehicles/V001/photos"
	assert.Equal(t, http.StatusOK, north.get(at).status)
	for _, path := range []string{at, at + "/" + query.Get("id"), at + "/" + query.Get("id") + "/small.jpg"} {
		there := south.get(path)
		never := south.get(strings.Replace(path, "V001", "V999", 1))
		assert.Equal(t, http.StatusNotFound, there.status, path)
		assert.Equal(t, never, withDate(there, never), path)
	}
	assert.Equal(t, http.StatusNotFound, south.sendPhoto(sentPhoto("V001"), aPicture(t, 30)).status)
	photos, err := x.db.Photos(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, store.PhotoQuery{})
	require.NoError(t, err)
	assert.Len(t, photos, 1)
}

// What is no photo is refused, and said why.
func TestPhotoIsRefused(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "bay", study.Operator)
	bay := x.as(t, "bay")
	with := func(name, value string) url.Values {
		query := sentPhoto("V001")
		query.Set(name, value)
		return query
	}
	picture := aPicture(t, 20)
	for _, c := range []struct {
		query   url.Values
		picture []byte
		status  int
		says    string
	}{
		{sentPhoto("V001"), []byte("<html>"), http.StatusUnprocessableEntity, "expected a JPEG picture"},
		{sentPhoto("V001"), nil, http.StatusUnprocessableEntity, "expected a JPEG picture"},
		{sentPhoto("V001"), make([]byte, study.MostSentPhotoBytes+2), http.StatusRequestEntityTooLarge, "more than this page takes"},
		{with("id", "1"), picture, http.StatusUnprocessableEntity, "expected a UUID"},
		{with("day", "soon"), picture, http.StatusUnprocessableEntity, "expected a day"},
		{with("day", "2031-01-01"), picture, http.StatusUnprocessableEntity, "yet to come"},
		{with("stage", "dry"), picture, http.StatusUnprocessableEntity, "expected one of arrival"},
		{with("patch", "XX"), picture, http.StatusUnprocessableEntity, "no such patch"},
		{with("vehicle", "V999"), picture, http.StatusNotFound, "no such page or record"},
	} {
		a := bay.sendPhoto(c.query, c.picture)
		assert.Equal(t, c.status, a.status, c.says)
		assert.Contains(t, a.body, c.says)
	}
	query := sentPhoto("V001")
	require.Equal(t, http.StatusOK, bay.sendPhoto(query, picture).status)
	assert.Contains(t, bay.sendPhoto(query, aPicture(t, 99)).body, "another photo is stored under this id")
}

// A photo that breaks off on the way is not stored.
func TestPhotoIsCutOff(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "bay", study.Operator)
	picture := aPicture(t, 20)
	cut := x.as(t, "bay").sendPhoto(sentPhoto("V001"), picture[:len(picture)-40])
	assert.Equal(t, http.StatusUnprocessableEntity, cut.status)
	assert.Contains(t, cut.body, "whole JPEG")
}
