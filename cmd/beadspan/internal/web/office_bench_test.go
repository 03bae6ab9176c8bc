package web

import (
	"bytes"
	"compress/gzip"
	"maps"
	"net/http"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// BenchmarkOffice asks for the pages of a study of 5,000 vehicles and a million
// readings, signed in, one after the other and by twenty people at once; then
// each of them right after a visit was logged, while all figures are worked out
// anew. It reports the time within which 95 of 100 come, the shortest, and what
// a page weighs when packed.
func BenchmarkOffice(b *testing.B) {
	x := newSite(b, Options{})
	x.steward(b, "kw")
	x.addLarge(b, "LARGE", 5000, 50)
	br := x.as(b, "kw")
	pages := pagesOfStudy()
	for _, path := range pages {
		waitFor(b, br, path)
	}
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		b.Run("settled/"+name, func(b *testing.B) {
			last := reportTimes(b, func() answer { return br.get(pages[name]) })
			b.ReportMetric(packed(b, last.body), "packed-kB")
		})
	}
	b.Run("visit", func(b *testing.B) {
		reportTimes(b, func() answer { return br.sendJSON("/studies/LARGE/visits", visitOf("V02500")) })
	})
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		b.Run("busy/"+name, func(b *testing.B) {
			require.Equal(b, http.StatusOK, br.sendJSON("/studies/LARGE/visits", visitOf("V02500")).status)
			reportTimes(b, func() answer { return br.get(pages[name]) })
		})
	}
	for _, path := range pages {
		waitFor(b, br, path)
	}
	b.Run("clients", func(b *testing.B) { benchmarkClients(b, x, 20, pages) })
}

// visitOf is a visit that nobody logged before, to a vehicle of the study LARGE.
func visitOf(vehicle string) sentVisit {
	visit := aVisit()
	visit.Vehicle = vehicle
	visit.Day = study.DayOf(2001, 1, 1) + study.Day(time.Now().UnixMicro()%7000)
	return visit
}

// reportTimes asks again and again, reports how long answers take, and returns
// the last of them.
func reportTimes(b *testing.B, ask func() answer) (last answer) {
	b.Helper()
	var took []time.Duration
	for b.Loop() {
		began := time.Now()
		if last = ask(); last.status >= http.StatusBadRequest {
			b.Fatal(last.status, last.body)
		}
		took = append(took, time.Since(began))
	}
	reportP95(b, took)
	return last
}

func reportP95(b *testing.B, took []time.Duration) {
	b.Helper()
	slices.Sort(took)
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	b.ReportMetric(ms(took[0]), "min-ms")
	b.ReportMetric(ms(took[len(took)*95/100]), "p95-ms")
}

// benchmarkClients has so many people turn pages at once, each beginning with
// another.
func benchmarkClients(b *testing.B, x *site, people int, pages map[string]string) {
	names := slices.Sorted(maps.Keys(pages))
	browsers := make([]*browser, people)
	for i := range browsers {
		browsers[i] = x.as(b, "kw")
	}
	var mu sync.Mutex
	var took []time.Duration
	for b.Loop() {
		var clients sync.WaitGroup
		for i, br := range browsers {
			clients.Go(func() {
				for j := range names {
					began := time.Now()
					status := br.get(pages[names[(i+j)%len(names)]]).status
					assert.Less(b, status, http.StatusBadRequest)
					mu.Lock()
					took = append(took, time.Since(began))
					mu.Unlock()
				}
			})
		}
		clients.Wait()
	}
	b.ReportMetric(float64(len(took))/b.Elapsed().Seconds(), "pages/s")
	reportP95(b, took)
}

// waitFor waits for a page's figures, which take long for so many records.
func waitFor(b *testing.B, br *browser, path string) {
	b.Helper()
	for began := time.Now(); ; time.Sleep(200 * time.Millisecond) {
		a := br.get(path)
		if a.status != http.StatusAccepted && !bytes.Contains([]byte(a.body), []byte("data-wait")) {
			return
		}
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
