package web

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkOffice asks for the office's pages of a study of 5,000 vehicles and a
// million readings, signed in. It reports the time within which 95 of 100 come,
// and what a page weighs when packed.
func BenchmarkOffice(b *testing.B) {
	br := atLarge(b, 50)
	for _, page := range []string{"", "/due", "/due?ahead=90", "/vehicles", "/vehicles/V04999", "/coatings", "/climates", "/rules", "/records"} {
		b.Run("page"+page, func(b *testing.B) {
			path := "/studies/LARGE" + page
			if page == "/due" {
				waitFor(b, br, path)
			}
			last := reportP95(b, func() answer { return br.get(path) }, http.StatusOK)
			b.ReportMetric(packed(b, last.body), "packed-kB")
		})
	}
}

// waitFor waits for a page's figures, which take long for so many records.
func waitFor(b *testing.B, br *browser, path string) {
	b.Helper()
	for began := time.Now(); bytes.Contains([]byte(br.get(path).body), []byte("data-wait")); time.Sleep(time.Second) {
		if time.Since(began) > 10*time.Minute {
			b.Fatal("the figures take too long")
		}
	}
}

// packed is how much of a page goes over the line, in kB.
func packed(b *testing.B, page string) float64 {
	b.Helper()
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	_, err := z.Write([]byte(page))
	require.NoError(b, err)
	require.NoError(b, z.Close())
	return float64(out.Len()) / 1000
}
