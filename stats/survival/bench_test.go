package survival_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	. "beadspan/stats/survival"
)

// visited simulates n lives of two-patch vehicles, seen at visits some weeks
// apart for up to 30 months, a fifth of them enrolled late.
func visited(n int, seed uint64) []Span {
	draw := rand.New(rand.NewPCG(seed, 0))
	var spans []Span
	for vehicle := 0; len(spans) < n; vehicle++ {
		shared := math.Exp(0.3 * draw.NormFloat64())
		entry := 0.0
		if draw.IntN(5) == 0 {
			entry = float64(7 * draw.IntN(30))
		}
		leave := 200 + 700*draw.Float64()
		for range 2 {
			life := 480 * shared * math.Pow(draw.ExpFloat64(), 1/2.2)
			if life <= entry {
				continue
			}
			lower, upper := entry, entry
			for upper = entry; upper < life && upper < leave; upper += float64(7 * (3 + draw.IntN(10))) {
				lower = upper
			}
			if upper < life {
				lower, upper = upper, math.Inf(1)
			}
			spans = append(spans, Between(lower, upper).EnteredAt(entry).OfCluster(vehicle))
		}
	}
	return spans[:n]
}

// exactDays simulates n lives of which two thirds end on a day within 1,000.
func exactDays(n int, seed uint64) []Span {
	draw := rand.New(rand.NewPCG(seed, 1))
	spans := make([]Span, n)
	for i := range spans {
		if day := float64(draw.IntN(1000)); draw.IntN(3) == 0 {
			spans[i] = RightCensored(day)
		} else {
			spans[i] = Exact(day)
		}
	}
	return spans
}

func BenchmarkTurnbull(b *testing.B) {
	for _, n := range []int{50, 200, 2000, 20000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			spans := visited(n, 1)
			b.ReportAllocs()
			for b.Loop() {
				c, err := Turnbull(spans)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(c.Intervals)), "intervals")
				b.ReportMetric(float64(c.Iterations), "steps")
			}
		})
	}
}

func BenchmarkClusterBootstrap(b *testing.B) {
	for _, n := range []int{50, 200} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			spans := visited(n, 1)
			how := Resampling{Times: []float64{365, 730}, Shares: []float64{0.5}, Level: 0.95, Replicates: 999}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ClusterBootstrap(b.Context(), spans, how); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
