package store_test

import (
	"crypto/sha256"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
)

// aPhoto is a photo that a phone is about to send. The store doesn't look into
// pictures.
func aPhoto(picture string) study.Photo {
	return study.Photo{ID: study.NewID(), Day: day(2026, 1, 9), Stage: study.Washed, Picture: study.Picture{
		Large: []byte(picture), Small: []byte("small " + picture), WidthPx: 1600, HeightPx: 900, SentSHA256: sha256.Sum256([]byte(picture)),
	}}
}

func TestPhotoIsStoredOnce(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	v := x.fleet.Vehicles[0]
	p := aPhoto("one")
	for i := range 3 {
		fresh, err := x.AddPhoto(t.Context(), x.scope, v.Code, v.Patches[0].Code, p)
		require.NoError(t, err)
		assert.Equal(t, i == 0, fresh)
	}
	list, err := x.Photos(t.Context(), x.scope, store.PhotoQuery{Vehicle: v.Code})
	require.NoError(t, err)
	require.Len(t, list, 1)
	// printf one | sha256sum
	const sum = "7692c3ad3540bb803c020b3aee66cd8887123234ea0c6e7143c0add73ff431ed"
	want := study.KeptPhoto{ID: p.ID, Vehicle: v.Code, Patch: v.Patches[0].Code, Panel: v.Patches[0].Panel, Day: p.Day, Stage: p.Stage,
		WidthPx: 1600, HeightPx: 900, Bytes: 3, SHA256: sha256.Sum256([]byte("one")), Taken: list[0].Taken}
	assert.Equal(t, want, list[0])
	assert.Equal(t, sum, hexOf(list[0].SHA256))
	for small, want := range map[bool]string{false: "one", true: "small one"} {
		k, jpeg, err := x.Photo(t.Context(), x.scope, v.Code, p.ID, small)
		require.NoError(t, err)
		assert.Equal(t, list[0], k)
		assert.Equal(t, want, string(jpeg))
	}

	// The same id with another picture is another photo: it is told so, and
	// nothing is overwritten.
	other := aPhoto("two")
	other.ID = p.ID
	_, err = x.AddPhoto(t.Context(), x.scope, v.Code, v.Patches[0].Code, other)
	require.ErrorAs(t, err, new(study.Problems))
	assert.ErrorContains(t, err, "another photo is stored under this id")
}

func hexOf(sum [32]byte) string {
	const digits = "0123456789abcdef"
	var text []byte
	for _, b := range sum {
		text = append(text, digits[b>>4], digits[b&15])
	}
	return string(text)
}

// A removed photo is gone, and sending it again doesn't bring it back.
func TestRemovePhoto(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	v := x.fleet.Vehicles[0]
	a := study.Account{ID: study.NewID(), Name: "kw", Steward: true, PasswordHash: "$argon2id$v=19$m=8,t=1,p=1$c2FsdHNhbHQ$aGFzaGhhc2hoYXNo"}
	require.NoError(t, x.AddFirstAccount(t.Context(), a))
	p := aPhoto("plate")
	p.AccountID = &a.ID
	_, err := x.AddPhoto(t.Context(), x.scope, v.Code, v.Patches[0].Code, p)
	require.NoError(t, err)
	list, err := x.Photos(t.Context(), x.scope, store.PhotoQuery{})
	require.NoError(t, err)
	assert.Equal(t, "kw", list[0].By)

	assert.ErrorContains(t, x.RemovePhoto(t.Context(), x.scope, v.Code, p.ID, a.ID, ""), "expected the reason")
	assert.ErrorIs(t, x.RemovePhoto(t.Context(), x.scope, v.Code, study.NewID(), a.ID, "plate"), study.ErrNotFound)
	require.NoError(t, x.RemovePhoto(t.Context(), x.scope, v.Code, p.ID, a.ID, "shows a plate"))
	assert.ErrorIs(t, x.RemovePhoto(t.Context(), x.scope, v.Code, p.ID, a.ID, "again"), study.ErrNotFound)
	fresh, err := x.AddPhoto(t.Context(), x.scope, v.Code, v.Patches[0].Code, p)
	require.NoError(t, err)
	assert.False(t, fresh)
	_, _, err = x.Photo(t.Context(), x.scope, v.Code, p.ID, false)
	assert.ErrorIs(t, err, study.ErrNotFound)
	list, err = x.Photos(t.Context(), x.scope, store.PhotoQuery{})
	require.NoError(t, err)
	assert.Empty(t, list)
}

// Another shop's photos are not there, whatever is asked for.
func TestPhotosOfAnotherShop(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	v := x.fleet.Vehicles[0]
	p := aPhoto("one")
	_, err := x.AddPhoto(t.Context(), x.scope, v.Code, v.Patches[0].Code, p)
	require.NoError(t, err)
	elsewhere := store.Scope{StudyID: x.scope.StudyID, ShopIDs: []study.ID{study.NewID()}}
	_, err = x.AddPhoto(t.Context(), elsewhere, v.Code, v.Patches[0].Code, aPhoto("two"))
	assert.ErrorIs(t, err, study.ErrNotFound)
	_, _, err = x.Photo(t.Context(), elsewhere, v.Code, p.ID, true)
	assert.ErrorIs(t, err, study.ErrNotFound)
	assert.ErrorIs(t, x.RemovePhoto(t.Context(), elsewhere, v.Code, p.ID, study.NewID(), "no"), study.ErrNotFound)
	list, err := x.Photos(t.Context(), elsewhere, store.PhotoQuery{})
	require.NoError(t, err)
	assert.Empty(t, list)
	_, _, err = x.Photo(t.Context(), x.scope, x.fleet.Vehicles[1].Code, p.ID, false)
	assert.ErrorIs(t, err, study.ErrNotFound, "a photo is its own vehicle's only")
}

func TestPhotoIsRefused(t *testing.T) {
	t.Parallel()
	x := newBay(t)
	v := x.fleet.Vehicles[0]
	add := func(patch string, change func(*study.Photo)) error {
		p := aPhoto("picture")
		change(&p)
		_, err := x.AddPhoto(t.Context(), x.scope, v.Code, patch, p)
		return err
	}
	for want, err := range map[string]error{
		"the vehicle has no such patch": add("NONE", func(*study.Photo) {}),
		"expected one of arrival":       add(v.Patches[0].Code, func(p *study.Photo) { p.Stage = "later" }),
		"expected a date":               add(v.Patches[0].Code, func(p *study.Photo) { p.Day = -5_000_000 }),
		"1600 pixels or less":           add(v.Patches[0].Code, func(p *study.Photo) { p.WidthPx = 1601 }),
		"expected a picture of 1 MB":    add(v.Patches[0].Code, func(p *study.Photo) { p.Large = make([]byte, study.MostPhotoBytes+1) }),
		"a picture of 1 MB or less":     add(v.Patches[0].Code, func(p *study.Photo) { p.Small = nil }),
	} {
		require.ErrorAs(t, err, new(study.Problems), want)
		assert.ErrorContains(t, err, want)
	}
	for range study.MostPhotosAtStage {
		require.NoError(t, add(v.Patches[0].Code, func(*study.Photo) {}))
	}
	assert.ErrorContains(t, add(v.Patches[0].Code, func(*study.Photo) {}), "that is all it may have")
	require.NoError(t, add(v.Patches[0].Code, func(p *study.Photo) { p.Stage = study.Decon }))
}
