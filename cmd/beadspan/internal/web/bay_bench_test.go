package web

import (
	"net/http"
	"testing"
)

// BenchmarkBay asks for what a phone takes along of a study of 5,000 vehicles,
// as a whole and when it has it already.
func BenchmarkBay(b *testing.B) {
	x := newSite(b, Options{})
	x.steward(b, "kw")
	x.addLarge(b, "LARGE", 5000, 10)
	br := x.as(b, "kw")
	waitFor(b, br, "/studies/LARGE/bay.json")
	known := br.get("/studies/LARGE/bay.json")
	b.Run("whole", func(b *testing.B) {
		reportTimes(b, func() answer { return br.get("/studies/LARGE/bay.json") })
		b.ReportMetric(float64(len(known.body))/1000, "kB")
		b.ReportMetric(packed(b, known.body), "packed-kB")
	})
	b.Run("unchanged", func(b *testing.B) {
		have := http.Header{"Have": {known.header.Get("Known")}}
		reportTimes(b, func() answer { return br.do(http.MethodGet, "/studies/LARGE/bay.json", nil, have) })
	})
}
