package web

import (
	"io"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestAPILetters(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	north := x.program(t, x.member(t, "north", study.Operator, "NORTH"), study.Operator)
	south := x.program(t, x.member(t, "south", study.Operator, "SOUTH"), study.Operator)
	reader := x.program(t, x.member(t, "reader", study.Reader), study.Reader)
	const letters = "/studies/S1/vehicles/V001/letters"
	assert.Empty(t, north.get(letters).body["letters"])
	assert.Equal(t, http.StatusForbidden, reader.call(http.MethodPost, letters, nil).status)
	assert.Equal(t, http.StatusUnprocessableEntity, north.call(http.MethodPost, letters+"?language=it", nil).status)

	var made reply
	require.Eventually(t, func() bool {
		made = north.call(http.MethodPost, letters+"?language=de", nil)
		return made.status != http.StatusAccepted
	}, 20*time.Second, 50*time.Millisecond)
	require.Equal(t, http.StatusCreated, made.status, "%v", made.body)
	letter := made.body["letter"].(map[string]any)
	assert.Equal(t, "de", letter["language"])
	assert.Equal(t, "2025-06-01", letter["day"])
	assert.Nil(t, letter["sent_on"])
	assert.Len(t, reader.get(letters).body["letters"], 1)

	one := letters + "/" + letter["id"].(string)
	pdf := reader.file(one)
	assert.Equal(t, "application/pdf", pdf.header.Get("Content-Type"))
	assert.Equal(t, "%PDF", pdf.body[:4])
	assert.EqualValues(t, len(pdf.body), letter["pdf_bytes"])
	page := reader.file(one + "?format=html")
	assert.Contains(t, page.body, "Das ist eine Schätzung, keine Garantie.")
	assert.Contains(t, page.body, `<html lang="de">`)
	for _, path := range []string{letters, one} {
		assert.Equal(t, http.StatusNotFound, south.get(path).status, "another shop's")
	}
	assert.Equal(t, http.StatusNotFound, south.get("/studies/S1/vehicles/V002/letters/"+letter["id"].(string)).status)
}

// file asks for something that isn't JSON.
func (p *program) file(path string) answer {
	p.t.Helper()
	r, err := http.NewRequestWithContext(p.t.Context(), http.MethodGet, p.url+"/api"+path, nil)
	require.NoError(p.t, err)
	r.Header.Set("Authorization", "Bearer "+p.token)
	resp, err := p.client.Do(r)
	require.NoError(p.t, err)
	defer resp.Body.Close()
	content, err := io.ReadAll(resp.Body)
	require.NoError(p.t, err)
	require.Equal(p.t, http.StatusOK, resp.StatusCode)
	return answer{resp.StatusCode, resp.Header, string(content)}
}
