package web

import (
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// The list says what each vehicle is due for. The fleet's vehicles are: one
// that holds and had no decon wash since the winter; one that failed as driven
// in; one that is spent, and due for nothing.
func TestDueList(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "all", study.Reader)
	x.member(t, "north", study.Reader, "NORTH")
	all := x.as(t, "all")
	list := all.settled("/studies/S1/due")
	require.Equal(t, http.StatusOK, list.status)
	assert.Contains(t, list.body, "V001")
	assert.Contains(t, list.body, "the salt season is over on 2025-04-01; none since service began on 2025-01-03")
	assert.Contains(t, list.body, "Decon wash, then read again")
	assert.NotContains(t, list.body, "V003")

	north := x.as(t, "north").settled("/studies/S1/due").body
	assert.Contains(t, north, "V001")
	assert.NotContains(t, north, "V002", "another shop's")

	only := all.settled("/studies/S1/due?kind=second_reading").body
	assert.NotContains(t, only, "V001")
	assert.Contains(t, only, "V002")
	assert.Contains(t, all.settled("/studies/S1/due?site=ELSEWHERE").body, "Nothing of the kind is due.")

	file := all.get("/studies/S1/due.csv?kind=second_reading")
	assert.Equal(t, `attachment; filename=S1-due.csv`, file.header.Get("Content-Disposition"))
	rows, err := csv.NewReader(strings.NewReader(file.body)).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	for _, row := range rows[1:] {
		assert.Equal(t, "V002", row[0])
	}
}

// Looking ahead shows more, never less.
func TestDueAhead(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "all", study.Reader)
	all := x.as(t, "all")
	// V001 was last read on 1 April; its checkup, every 90 days, falls on 30 June.
	assert.NotContains(t, all.settled("/studies/S1/due?kind=checkup").body, "V001")
	assert.NotContains(t, all.settled("/studies/S1/due?kind=checkup&ahead=14").body, "V001")
	assert.Contains(t, all.settled("/studies/S1/due?kind=checkup&ahead=30").body, "due 30 Jun 2025")
}
