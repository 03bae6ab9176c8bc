package web

import (
	"archive/zip"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// Letters to many are made in the background, kept, and sent as one file.
func TestLettersToMany(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator)
	b := x.as(t, "op")
	form := b.settled("/studies/S1/letters").body
	for _, code := range []string{"V001", "V002"} {
		assert.Contains(t, form, `value="`+code+`" checked`)
	}
	begun := b.post("/studies/S1/letters", url.Values{"language": {"de"}, "paper": {"letter"}, "vehicle": {"V003", "V001", "V001"}})
	require.Equal(t, http.StatusSeeOther, begun.status)
	run := begun.header.Get("Location")
	assert.Contains(t, b.settled(run).body, "2 letters are kept.")

	file := b.get(run + "/letters.zip")
	require.Equal(t, http.StatusOK, file.status)
	assert.Equal(t, file.body, b.get(run+"/letters.zip").body, "the same bytes")
	packed, err := zip.NewReader(strings.NewReader(file.body), int64(len(file.body)))
	require.NoError(t, err)
	var names []string
	for _, f := range packed.File {
		names = append(names, f.Name)
	}
	assert.Equal(t, []string{"letter-V001-2025-06-01.pdf", "letter-V003-2025-06-01.pdf"}, names)
	kept, err := x.db.Letters(t.Context(), x.fleet.Vehicles[0].ID, 5)
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.Equal(t, "letter", kept[0].Paper)
	assert.EqualValues(t, kept[0].PDFBytes, packed.File[0].UncompressedSize64)

	require.Equal(t, http.StatusSeeOther, b.post(run, url.Values{"how": {"printed"}}).status)
	assert.Contains(t, b.get(run+"?sent").body, "All of them are marked as sent.")
	form = b.settled("/studies/S1/letters").body
	assert.Contains(t, form, `value="V001">`, "who got one of late isn't ticked")
	assert.Contains(t, form, `value="V002" checked`)
	assert.Contains(t, form, "last letter 1 Jun 2025")

}

// Nobody writes to another shop's customers, or sees what others wrote.
func TestLettersToOwnCustomers(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	x.member(t, "south", study.Operator, "SOUTH")
	north, south := x.as(t, "north"), x.as(t, "south")
	assert.NotContains(t, north.settled("/studies/S1/letters").body, "V002")
	to := func(codes ...string) url.Values {
		return url.Values{"language": {"en"}, "paper": {"a4"}, "vehicle": codes}
	}
	assert.Equal(t, http.StatusNotFound, north.post("/studies/S1/letters", to("V001", "V002")).status)
	assert.Equal(t, http.StatusUnprocessableEntity, north.post("/studies/S1/letters", to(strings.Fields(strings.Repeat("V001 ", 501))...)).status)
	begun := north.post("/studies/S1/letters", to("V001"))
	require.Equal(t, http.StatusSeeOther, begun.status)
	run := begun.header.Get("Location")
	north.settled(run)
	for _, path := range []string{run, run + "/letters.zip"} {
		assert.Equal(t, http.StatusNotFound, south.get(path).status)
	}
	assert.Equal(t, http.StatusNotFound, south.post(run, url.Values{"how": {"printed"}}).status)
	letter := north.keepLetter("V001", "en")
	for _, path := range []string{letter, letter + "/letter.pdf", "/studies/S1/vehicles/V001/letters", "/studies/S1/vehicles/V001/letters/preview?language=en&paper=a4"} {
		assert.Equal(t, http.StatusNotFound, south.get(path).status, path)
	}
	assert.Equal(t, http.StatusNotFound, south.post(letter+"/sent", url.Values{"how": {"printed"}}).status)
	elsewhere := strings.Replace(letter, "V001", "V002", 1)
	assert.Equal(t, http.StatusNotFound, south.get(elsewhere).status, "nor under a vehicle of one's own")
}
