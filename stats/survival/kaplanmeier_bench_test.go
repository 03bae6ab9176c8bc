package survival_test

import (
	"math/rand/v2"
	"testing"

	. "beadspan/stats/survival"
)

// exactTimes simulates n lives of which two thirds end, at times all different.
func exactTimes(n int, seed uint64) []Span {
	draw := rand.New(rand.NewPCG(seed, 2))
	spans := make([]Span, n)
	for i := range spans {
		if t := 1000 * draw.ExpFloat64(); draw.IntN(3) == 0 {
			spans[i] = RightCensored(t)
		} else {
			spans[i] = Exact(t)
		}
	}
	return spans
}

func BenchmarkKaplanMeier(b *testing.B) {
	weighed, late := exactDays(1_000_000, 1), exactTimes(1_000_000, 1)
	for i := range weighed {
		weighed[i] = weighed[i].Weighing(0.5 + float64(i%7))
		late[i] = late[i].EnteredAt(late[i].Lower * float64(i%10) / 20)
	}
	for _, c := range []struct {
		name  string
		spans []Span
	}{
		{"1000_times", exactDays(1_000_000, 1)},
		{"1000000_times", exactTimes(1_000_000, 1)},
		{"1000_times_weighted", weighed},
		{"1000000_times_late", late},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := KaplanMeier(c.spans, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
