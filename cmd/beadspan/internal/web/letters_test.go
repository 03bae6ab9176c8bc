package web

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/reports"
	"beadspan/study"
)

// letterTries has a line for each route of letters.
func letterTries(x *site) map[string]try {
	v001 := "/studies/S1/vehicles/V001"
	none := v001 + "/letters/" + uuid.NewString()
	run := "/studies/S1/letters/runs/" + uuid.NewString()
	how := url.Values{"language": {"en"}, "paper": {"a4"}}
	return map[string]try{
		"GET /studies/{study}/vehicles/{vehicle}/letters":                     {v001 + "/letters", nil, http.StatusOK},
		"GET /studies/{study}/vehicles/{vehicle}/letters/preview":             {v001 + "/letters/preview?language=en&paper=a4", nil, http.StatusOK},
		"POST /studies/{study}/vehicles/{vehicle}/letters":                    {v001 + "/letters", how, http.StatusSeeOther},
		"GET /studies/{study}/vehicles/{vehicle}/letters/{letter}":            {none, nil, http.StatusNotFound},
		"GET /studies/{study}/vehicles/{vehicle}/letters/{letter}/letter.pdf": {none + "/letter.pdf", nil, http.StatusNotFound},
		"POST /studies/{study}/vehicles/{vehicle}/letters/{letter}/sent":      {none + "/sent", nil, http.StatusNotFound},
		"POST /studies/{study}/vehicles/{vehicle}/letters/{letter}/links":     {none + "/links", nil, http.StatusNotFound},
		"POST /studies/{study}/vehicles/{vehicle}/links/{link}":               {v001 + "/links/" + uuid.NewString(), nil, http.StatusNotFound},
		"GET /shared/{secret}":                                {"/shared/NONE", nil, http.StatusNotFound},
		"GET /shared/{secret}/letter.pdf":                     {"/shared/NONE/letter.pdf", nil, http.StatusNotFound},
		"GET /studies/{study}/letters":                        {"/studies/S1/letters", nil, http.StatusOK},
		"POST /studies/{study}/letters":                       {"/studies/S1/letters", how, http.StatusUnprocessableEntity}, // to nobody
		"GET /studies/{study}/letters/runs/{run}":             {run, nil, http.StatusNotFound},
		"POST /studies/{study}/letters/runs/{run}":            {run, nil, http.StatusNotFound},
		"GET /studies/{study}/letters/runs/{run}/letters.zip": {run + "/letters.zip", nil, http.StatusNotFound},
		"GET /studies/{study}/letterheads":                    {"/studies/S1/letterheads", nil, http.StatusOK},
		"POST /studies/{study}/letterheads/{head}":            {"/studies/S1/letterheads/" + x.study.ID.String(), nil, http.StatusBadRequest}, // no file form
	}
}

// A letter stays as it was kept, whatever is logged after it.
func TestLetterStaysAsItWas(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator)
	b := x.as(t, "op")
	letter := b.keepLetter("V001", "en")
	before, pdf := b.get(letter).body, b.get(letter+"/letter.pdf")
	assert.Contains(t, before, "Last read 1 April 2025, not after a deep wash")
	assert.Equal(t, "application/pdf", pdf.header.Get("Content-Type"))
	assert.Contains(t, pdf.header.Get("Content-Disposition"), "letter-V001-2025-06-01.pdf")
	assert.Equal(t, "%PDF", pdf.body[:4])
	assert.Equal(t, letter, b.keepLetter("V001", "en"), "the same letter is one letter")
	assert.NotEqual(t, letter, b.keepLetter("V001", "de"))

	f := x.fleet
	v := f.Vehicles[0]
	v.Checkups = append(v.Checkups[:2:2], study.Checkup{ID: study.NewID(), Day: study.DayOf(2025, 5, 20), OperatorID: &f.People[0].ID,
		Readings: []study.Reading{{PatchID: v.Patches[0].ID, Stage: study.Decon, AnglesDeg: []float64{97}}}})
	f.Vehicles = []study.Vehicle{v}
	_, err := x.db.Load(t.Context(), x.study.ID, f, nil)
	require.NoError(t, err)

	assert.Equal(t, before, b.get(letter).body)
	assert.Equal(t, pdf.body, b.get(letter+"/letter.pdf").body)
	next := b.keepLetter("V001", "en")
	assert.NotEqual(t, letter, next)
	assert.Contains(t, b.get(next).body, "Last clean reading 97°, 20 May 2025")
}

// The list says how each letter reached its customer, and who says so.
func TestLettersSent(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator)
	x.member(t, "reader", study.Reader)
	b, reader := x.as(t, "op"), x.as(t, "reader")
	letter := b.keepLetter("V001", "fr")
	assert.Contains(t, b.get("/studies/S1/vehicles/V001").body, "not sent yet")
	assert.Equal(t, http.StatusBadRequest, b.post(letter+"/sent", url.Values{"how": {"by pigeon"}}).status)
	require.Equal(t, http.StatusSeeOther, b.post(letter+"/sent", url.Values{"how": {"printed"}}).status)
	for _, page := range []answer{b.get("/studies/S1/vehicles/V001/letters"), reader.get("/studies/S1/vehicles/V001/letters")} {
		assert.Contains(t, page.body, "printed</strong> 1 Jun 2025, says op")
	}
	assert.Contains(t, b.get("/studies/S1/vehicles/V001").body, "printed 1 Jun 2025")
	assert.NotContains(t, reader.get("/studies/S1/vehicles/V001/letters").body, `/sent"`, "a reader reads")
	assert.Contains(t, b.get(letter).body, `<main id="content" tabindex="-1" lang="fr">`)
}

// A letter about a vehicle without a coated panel isn't written, nor one that
// nobody knows how to write.
func TestNoLetter(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "op", study.Operator)
	f := study.Fleet{Sites: x.fleet.Sites, Vehicles: []study.Vehicle{{ID: study.NewID(), Code: "BARE", SiteID: x.fleet.Sites[0].ID, Enrolled: study.DayOf(2025, 1, 1)}}}
	_, err := x.db.Load(t.Context(), x.study.ID, f, nil)
	require.NoError(t, err)
	b := x.as(t, "op")
	letters := "/studies/S1/vehicles/BARE/letters"
	assert.Contains(t, b.settled(letters).body, "the vehicle has no coated panel")
	how := url.Values{"language": {"en"}, "paper": {"a4"}}
	assert.Equal(t, http.StatusNotFound, b.post(letters, how).status)
	for _, wrong := range []url.Values{{"language": {"it"}, "paper": {"a4"}}, {"language": {"en"}, "paper": {"a0"}}, {}} {
		assert.Equal(t, http.StatusBadRequest, b.post("/studies/S1/vehicles/V001/letters", wrong).status)
		assert.Equal(t, http.StatusBadRequest, b.get("/studies/S1/vehicles/V001/letters/preview?"+wrong.Encode()).status)
	}
	assert.Equal(t, http.StatusNotFound, b.get("/studies/S1/vehicles/V001/letters/none").status)
}

// Every language, paper and way of sending has its message.
func TestWordsOfLetters(t *testing.T) {
	keys := wordsOf(study.Sendings())
	for i := range keys {
		keys[i] = "sent." + keys[i]
	}
	for _, l := range reports.Languages() {
		keys = append(keys, "language."+string(l))
	}
	for _, p := range reports.Papers() {
		keys = append(keys, "paper."+string(p))
	}
	for _, key := range keys {
		assert.Contains(t, languages[0].messages, key)
	}
}
