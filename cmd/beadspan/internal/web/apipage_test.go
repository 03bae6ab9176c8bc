package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// The description is one of OpenAPI 3.1, and what it gives as an example is
// taken as it stands.
func TestAPIIsDescribed(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.today = func() study.Day { return study.DayOf(2025, time.June, 1) }
	got := x.browser(t).get("/api/openapi.json")
	require.Equal(t, http.StatusOK, got.status)
	var description struct {
		OpenAPI string
		Paths   map[string]map[string]struct {
			OperationID string
			Summary     string
			Security    []any
			RequestBody struct {
				Content map[string]struct{ Example any }
			}
			Responses map[string]any
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.body), &description))
	assert.True(t, strings.HasPrefix(description.OpenAPI, "3.1."))
	p := x.program(t, x.steward(t, "kw"), study.Operator)
	sent := 0
	page := x.browser(t).get("/api")
	require.Equal(t, http.StatusOK, page.status)
	for path, operations := range description.Paths {
		for method, op := range operations {
			assert.NotEmpty(t, op.Summary, path)
			assert.NotEmpty(t, op.Security, path)
			assert.Contains(t, op.Responses, "401", path)
			assert.Contains(t, page.body, strings.ToUpper(method)+" /api"+path, "the page tells of it")
			if example := op.RequestBody.Content["application/json"].Example; example != nil {
				a := p.call(strings.ToUpper(method), strings.ReplaceAll(path, "{study}", "S1"), example)
				assert.Equal(t, []string{"stored"}, a.results(), "%s: %v", path, a.body)
				sent++
			}
		}
	}
	assert.Equal(t, 2, sent)
	assert.NotContains(t, page.body, "<script src=\"http", "it is read without a network")
}
