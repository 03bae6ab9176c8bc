package web

import (
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// settled asks for a figure until it is worked out.
func (p *program) settled(path string) reply {
	p.t.Helper()
	var got reply
	require.Eventually(p.t, func() bool {
		got = p.get(path)
		if got.status == http.StatusAccepted {
			assert.Equal(p.t, "2", got.header.Get("Retry-After"))
			assert.Nil(p.t, got.body["result"])
		}
		return got.status == http.StatusOK
	}, 60*time.Second, 50*time.Millisecond)
	assert.Equal(p.t, true, got.body["fresh"])
	return got
}

// With three vehicles there is little to estimate: the API says so, as the
// commands do.
func TestAPIFigures(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Reader)
	result := func(path string) map[string]any {
		return p.settled("/studies/S1" + path).body["result"].(map[string]any)
	}
	life := result("/life")["rows"].([]any)
	require.Len(t, life, 1)
	assert.EqualValues(t, 1, life[0].(map[string]any)["n_spent_patches"], "V003")
	assert.Len(t, result("/life?by=climate")["rows"], 1)
	decays := result("/decay")["coatings"].([]any)
	require.Len(t, decays, 1)
	assert.EqualValues(t, 2, decays[0].(map[string]any)["n_clean_readings"], "V003 was read twice after a decontamination wash")
	assert.NotEmpty(t, result("/climates")["sentence"])

	rows := func(p *program) (codes []string) {
		for _, row := range p.settled("/studies/S1/due").body["result"].(map[string]any)["due_vehicles"].([]any) {
			codes = append(codes, row.(map[string]any)["vehicle"].(string))
		}
		return codes
	}
	all := rows(p)
	assert.Equal(t, "V002", all[0], "doubtful: a second reading comes first")
	north := x.program(t, x.member(t, "north", study.Reader, "NORTH"), study.Reader)
	assert.NotContains(t, rows(north), "V002", "another shop's")
	assert.Equal(t, http.StatusUnprocessableEntity, p.get("/studies/S1/due?ahead_days=5").status)
}
