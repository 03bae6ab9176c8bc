package web

import (
	"archive/zip"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// A program gets the records that its account may see, and no others.
func TestAPIExports(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	p := x.program(t, x.member(t, "north", study.Reader, "NORTH"), study.Reader)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, x.url+"/api/studies/S1/export?format=csv", nil)
	require.NoError(t, err)
	r.Header.Set("Authorization", "Bearer "+p.token)
	resp, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer resp.Body.Close()
	require.Equal(t, http.StatusOK, resp.StatusCode)
	body, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	archive, err := zip.NewReader(strings.NewReader(string(body)), int64(len(body)))
	require.NoError(t, err)
	vehicles := ""
	for _, f := range archive.File {
		if strings.HasSuffix(f.Name, "vehicles.csv") {
			file, err := f.Open()
			require.NoError(t, err)
			text, err := io.ReadAll(file)
			require.NoError(t, err)
			vehicles = string(text)
		}
	}
	assert.Contains(t, vehicles, "V001")
	assert.NotContains(t, vehicles, "V002", "another shop's")
	assert.Equal(t, http.StatusUnprocessableEntity, p.get("/studies/S1/export?format=doc").status)
}
