package web

import (
	"net/http"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// BenchmarkBay asks for what a phone takes along of a study of 5,000 vehicles,
// as a whole and when it has it already, and sends visits to it.
func BenchmarkBay(b *testing.B) {
	x := newSite(b, Options{})
	x.steward(b, "kw")
	large := study.Study{ID: study.NewID(), Code: "LARGE", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(b, x.db.AddStudy(b.Context(), large))
	_, err := x.db.Load(b.Context(), large.ID, largeFleet(5000, 10), nil)
	require.NoError(b, err)
	br := x.as(b, "kw")
	var known answer
	require.Eventually(b, func() bool {
		known = br.get("/studies/LARGE/bay.json")
		return known.status == http.StatusOK
	}, time.Minute, 50*time.Millisecond)
	p95 := func(b *testing.B, ask func() answer, want int) {
		var took []time.Duration
		for b.Loop() {
			began := time.Now()
			if a := ask(); a.status != want {
				b.Fatal(a.status, a.body)
			}
			took = append(took, time.Since(began))
		}
		slices.Sort(took)
		b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
	}
	b.Run("whole", func(b *testing.B) {
		p95(b, func() answer { return br.get("/studies/LARGE/bay.json") }, http.StatusOK)
		b.ReportMetric(float64(len(known.body))/1000, "kB")
	})
	b.Run("unchanged", func(b *testing.B) {
		have := http.Header{"Have": {known.header.Get("Known")}}
		p95(b, func() answer { return br.do(http.MethodGet, "/studies/LARGE/bay.json", nil, have) }, http.StatusNoContent)
	})
	b.Run("visit", func(b *testing.B) {
		p95(b, func() answer {
			visit := aVisit()
			visit.Vehicle = "V02500"
			visit.Day = study.DayOf(2001, 1, 1) + study.Day(time.Now().UnixMicro()%8000)
			return br.sendJSON("/studies/LARGE/visits", visit)
		}, http.StatusOK)
	})
}
