package web

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// visits is the body of a call that logs.
func visits(list ...map[string]any) map[string]any { return map[string]any{"visits": list} }

func sentByAPI(vehicle, day string, angles ...float64) map[string]any {
	return map[string]any{"id": study.NewID(), "vehicle": vehicle, "day": day, "readings": []any{
		map[string]any{"patch": "RF", "stage": "decon", "angles_deg": angles},
	}}
}

// results are those of an answer.
func (r reply) results() (list []string) {
	all, _ := r.body["results"].([]any)
	for _, x := range all {
		list = append(list, x.(map[string]any)["result"].(string))
	}
	return list
}

func TestAPILogsVisits(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Operator)
	visit := sentByAPI("V001", "2025-05-30", 101, 102)
	visit["care"] = []any{map[string]any{"id": study.NewID(), "kind": "maintenance_wash"}}
	sent := visits(visit, sentByAPI("V009", "2025-05-30", 100), sentByAPI("V002", "2025-05-30", 181), sentByAPI("V003", "2099-01-01", 60))
	first := p.call(http.MethodPost, "/studies/S1/visits", sent)
	require.Equal(t, http.StatusOK, first.status, first.body)
	assert.Equal(t, []string{"stored", "refused", "refused", "refused"}, first.results())
	problems := func(i int) []any { return first.body["results"].([]any)[i].(map[string]any)["problems"].([]any) }
	assert.Equal(t, "vehicle", problems(1)[0].(map[string]any)["location"])
	assert.Contains(t, problems(2)[0].(map[string]any)["location"], "angle_1_deg")
	assert.Equal(t, "day", problems(3)[0].(map[string]any)["location"])

	assert.Equal(t, "known", p.call(http.MethodPost, "/studies/S1/visits", sent).results()[0], "sent again")
	visit["readings"].([]any)[0].(map[string]any)["angles_deg"] = []float64{55}
	other := p.call(http.MethodPost, "/studies/S1/visits", visits(visit))
	require.Equal(t, []string{"proposed"}, other.results(), "the same id with other content is never lost")
	waiting := other.body["results"].([]any)[0].(map[string]any)["waiting"].([]any)
	require.Len(t, waiting, 1)
	stored := p.get("/studies/S1/vehicles/V001").body["checkups"].([]any)
	require.Len(t, stored, 3)
	assert.Equal(t, []any{101., 102.}, stored[2].(map[string]any)["readings"].([]any)[0].(map[string]any)["angles_deg"])
}

func TestAPILogsJobs(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Operator)
	job := map[string]any{"id": study.NewID(), "vehicle": "V004", "site": "COAST", "coating": "FLEX-2", "coating_id": study.NewID(),
		"applied": "2025-05-28", "substrate": "wrap", "finish": "satin", "job": map[string]any{"layers": 2},
		"patches": []any{map[string]any{"id": study.NewID(), "code": "RF", "panel": "roof", "orientation": "horizontal"}}}
	sent := map[string]any{"jobs": []any{job}}
	assert.Equal(t, []string{"stored"}, p.call(http.MethodPost, "/studies/S1/jobs", sent).results())
	assert.Equal(t, []string{"known"}, p.call(http.MethodPost, "/studies/S1/jobs", sent).results())
	v := p.get("/studies/S1/vehicles/V004")
	require.Equal(t, http.StatusOK, v.status)
	patch := v.body["patches"].([]any)[0].(map[string]any)
	assert.Equal(t, "FLEX-2", patch["coating"])
	assert.EqualValues(t, 2, patch["job"].(map[string]any)["layers"])
	job["site"], job["vehicle"], job["id"] = "MOON", "V005", study.NewID()
	assert.Equal(t, []string{"refused"}, p.call(http.MethodPost, "/studies/S1/jobs", sent).results())
}

func TestAPIRefusesToLog(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	steward := x.steward(t, "kw")
	asReader := x.program(t, steward, study.Reader)
	assert.Equal(t, http.StatusForbidden, asReader.call(http.MethodPost, "/studies/S1/visits", visits(sentByAPI("V001", "2025-05-30", 90))).status)
	p := x.program(t, steward, study.Operator)
	for sent, where := range map[string]string{
		`{"visits": []}`:                         "body.visits",
		`{"visits": [{}]}`:                       "body.visits[0]",
		`{"visits": 1}`:                          "body.visits",
		`{"visits": [{"id": 1}]}`:                "body.visits[0]",
		`{"visitors": []}`:                       "body",
		`{"visits": [{"id": "x", "angle": 12}]}`: "body.visits[0]",
		`{"visits": [{"id": "01981b5e-8c00-7abc-8def-0123456789ab", "vehicle": "V001", "day": "30.5.2025"}]}`: "body.visits[0].day",
	} {
		got := p.call(http.MethodPost, "/studies/S1/visits", sent)
		require.Equal(t, http.StatusUnprocessableEntity, got.status, sent)
		require.NotEmpty(t, got.body["errors"], sent)
		assert.Contains(t, got.body["errors"].([]any)[0].(map[string]any)["location"], where, sent)
	}
	assert.Equal(t, http.StatusBadRequest, p.call(http.MethodPost, "/studies/S1/visits", `{"visits": [`).status)
	large := p.call(http.MethodPost, "/studies/S1/visits", `{"visits": [`+string(make([]byte, mostAPIBytes))+`]}`)
	assert.Equal(t, http.StatusRequestEntityTooLarge, large.status)
}
