package store_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// correspondence is a store with an account and a study of the sample fleet.
type correspondence struct {
	*store.Store
	account study.Account
	study   study.Study
	fleet   study.Fleet
}

func newCorrespondence(t *testing.T) *correspondence {
	t.Helper()
	x := &correspondence{Store: storetest.New(t), account: newAccount("kw"), fleet: sample()}
	x.study = addStudy(t, x.Store, "S1")
	require.NoError(t, x.AddFirstAccount(t.Context(), x.account))
	load(t, x.Store, x.study, x.fleet)
	return x
}

// keep stores a letter to a vehicle's customer.
func (x *correspondence) keep(t *testing.T, v study.Vehicle, said string) study.ID {
	t.Helper()
	l := study.KeptLetter{ID: study.NewID(), VehicleID: v.ID, Day: day(2025, 6, 1), Language: "de", Paper: "a4", Version: "1.2", MadeBy: x.account.ID}
	id, err := x.KeepLetter(t.Context(), l, store.LetterText{PDF: []byte("%PDF " + said), Page: []byte("<p>" + said)})
	require.NoError(t, err)
	return id
}

func TestLettersAreKept(t *testing.T) {
	t.Parallel()
	x := newCorrespondence(t)
	v, other := x.fleet.Vehicles[0], x.fleet.Vehicles[1]
	long := strings.Repeat("Wasser perlt ab. ", 5000)
	first, second := x.keep(t, v, long), x.keep(t, v, "another")
	assert.NotEqual(t, first, second)
	assert.Equal(t, first, x.keep(t, v, long), "the same letter is one letter")
	theirs := x.keep(t, other, long)
	assert.NotEqual(t, first, theirs, "though it says the same, it is to somebody else")

	pdf, err := x.LetterPDF(t.Context(), v.ID, first)
	require.NoError(t, err)
	assert.Equal(t, "%PDF "+long, string(pdf))
	page, err := x.LetterPage(t.Context(), v.ID, first)
	require.NoError(t, err)
	assert.Equal(t, "<p>"+long, string(page))
	_, err = x.LetterPDF(t.Context(), other.ID, first)
	require.ErrorIs(t, err, study.ErrNotFound)
	_, err = x.LetterPage(t.Context(), other.ID, first)
	require.ErrorIs(t, err, study.ErrNotFound)

	list, err := x.Letters(t.Context(), v.ID, 10)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, []study.ID{second, first}, []study.ID{list[0].ID, list[1].ID})
	one, err := x.Letter(t.Context(), v.ID, first)
	require.NoError(t, err)
	assert.Equal(t, list[1], one)
	assert.WithinDuration(t, time.Now(), one.Made, time.Minute)
	one.Made = time.Time{}
	assert.Equal(t, store.LetterLine{Maker: "kw", PDFBytes: len(pdf), KeptLetter: study.KeptLetter{
		ID: first, VehicleID: v.ID, Day: day(2025, 6, 1), Language: "de", Paper: "a4", Version: "1.2", MadeBy: x.account.ID}}, one)
}

func TestLettersAreSent(t *testing.T) {
	t.Parallel()
	x := newCorrespondence(t)
	v, other := x.fleet.Vehicles[0], x.fleet.Vehicles[1]
	id := x.keep(t, v, "hello")
	scope := store.Scope{StudyID: x.study.ID, EveryShop: true}
	last, err := x.LastSent(t.Context(), scope)
	require.NoError(t, err)
	assert.Empty(t, last, "made isn't sent")

	sent := study.LetterSent{On: day(2025, 6, 2), By: x.account.ID, How: study.SentPrinted}
	require.ErrorIs(t, x.SendLetter(t.Context(), other.ID, id, sent), study.ErrNotFound)
	require.NoError(t, x.SendLetter(t.Context(), v.ID, id, sent))
	later := sent
	later.On, later.How = day(2025, 7, 1), study.SentFile
	require.NoError(t, x.SendLetter(t.Context(), v.ID, id, later))
	one, err := x.Letter(t.Context(), v.ID, id)
	require.NoError(t, err)
	assert.Equal(t, &sent, one.Sent, "as it was noted first")
	assert.Equal(t, "kw", one.Sender)

	last, err = x.LastSent(t.Context(), scope)
	require.NoError(t, err)
	assert.Equal(t, map[study.ID]study.Day{v.ID: sent.On}, last)
	last, err = x.LastSent(t.Context(), store.Scope{StudyID: x.study.ID, ShopIDs: []study.ID{study.NewID()}})
	require.NoError(t, err)
	assert.Empty(t, last, "another shop's")
}

func TestShareLinks(t *testing.T) {
	t.Parallel()
	x := newCorrespondence(t)
	v := x.fleet.Vehicles[0]
	letter := x.keep(t, v, "hello")
	link := study.ShareLink{ID: study.NewID(), StudyID: x.study.ID, VehicleID: v.ID, LetterID: letter, MadeBy: x.account.ID, Expires: time.Now().Add(time.Hour)}
	require.NoError(t, x.AddShareLink(t.Context(), link, "secret"))
	past := link
	past.ID, past.Expires = study.NewID(), time.Now().Add(-time.Minute)
	require.NoError(t, x.AddShareLink(t.Context(), past, "old secret"))

	shared, err := x.Shared(t.Context(), "secret")
	require.NoError(t, err)
	assert.Equal(t, v.Code, shared.Vehicle)
	assert.Equal(t, letter, shared.ID)
	for _, wrong := range []string{"", "old secret", "Secret"} {
		_, err := x.Shared(t.Context(), wrong)
		assert.ErrorIs(t, err, study.ErrNotFound, "%q", wrong)
	}
	list, err := x.ShareLinks(t.Context(), x.study.ID, v.ID)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, "kw", list[0].Name)
	assert.Equal(t, letter, list[0].LetterID)

	require.ErrorIs(t, x.RevokeShareLink(t.Context(), x.study.ID, study.NewID(), link.ID), study.ErrNotFound, "another vehicle's")
	require.NoError(t, x.RevokeShareLink(t.Context(), x.study.ID, v.ID, link.ID))
	_, err = x.Shared(t.Context(), "secret")
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestLetterheads(t *testing.T) {
	t.Parallel()
	x := newCorrespondence(t)
	shop := study.NewID()
	own := study.Letterhead{StudyID: x.study.ID, Name: "Bär & Söhne", LogoPNG: []byte{1, 2, 3}}
	theirs := study.Letterhead{StudyID: x.study.ID, ShopID: &shop, Name: "North"}
	for _, h := range []study.Letterhead{{StudyID: x.study.ID, Name: "before"}, own, theirs} {
		require.NoError(t, x.PutLetterhead(t.Context(), h))
	}
	heads, err := x.Letterheads(t.Context(), x.study.ID)
	require.NoError(t, err)
	assert.ElementsMatch(t, []study.Letterhead{own, theirs}, heads)

	var problems study.Problems
	for _, name := range []string{"two\nlines", strings.Repeat("x", 101), "\xff"} {
		own.Name = name
		require.ErrorAs(t, x.PutLetterhead(t.Context(), own), &problems)
	}
}
