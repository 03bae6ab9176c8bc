package web

import (
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// BenchmarkBay asks for what a phone takes along of a study of 5,000 vehicles,
// as a whole and when it has it already, and sends visits to it.
func BenchmarkBay(b *testing.B) {
	br := atLarge(b, 10)
	var known answer
	require.Eventually(b, func() bool {
		known = br.get("/studies/LARGE/bay.json")
		return known.status == http.StatusOK
	}, time.Minute, 50*time.Millisecond)
	b.Run("whole", func(b *testing.B) {
		reportP95(b, func() answer { return br.get("/studies/LARGE/bay.json") }, http.StatusOK)
		b.ReportMetric(float64(len(known.body))/1000, "kB")
	})
	b.Run("unchanged", func(b *testing.B) {
		have := http.Header{"Have": {known.header.Get("Known")}}
		reportP95(b, func() answer { return br.do(http.MethodGet, "/studies/LARGE/bay.json", nil, have) }, http.StatusNoContent)
	})
	b.Run("visit", func(b *testing.B) {
		reportP95(b, func() answer {
			visit := aVisit()
			visit.Vehicle = "V02500"
			visit.Day = study.DayOf(2001, 1, 1) + study.Day(time.Now().UnixMicro()%8000)
			return br.sendJSON("/studies/LARGE/visits", visit)
		}, http.StatusOK)
	})
}
