package survival_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	. "beadspan/stats/survival"
)

// inspected simulates n lives of which the end is known to lie between two of
// the times 1…grid, or beyond the last.
func inspected(n, grid int, seed uint64) []Span {
	draw := rand.New(rand.NewPCG(seed, 2))
	spans := make([]Span, n)
	for i := range spans {
		life := 0.6 * float64(grid) * math.Pow(draw.ExpFloat64(), 1/1.8)
		lower, upper := 0.0, math.Inf(1)
		for visit := 1 + draw.IntN(grid/4); visit <= grid; visit += 1 + draw.IntN(grid/4) {
			if float64(visit) >= life {
				upper = float64(visit)
				break
			}
			lower = float64(visit)
		}
		spans[i] = Between(lower, upper)
	}
	return spans
}

// mixed simulates n lives of which some end at times known exactly, nearly all
// different, and the others within wide intervals.
func mixed(n int, exact float64, seed uint64) []Span {
	draw := rand.New(rand.NewPCG(seed, 3))
	spans := make([]Span, n)
	for i := range spans {
		life := 400 * math.Pow(draw.ExpFloat64(), 1/1.8)
		switch {
		case draw.Float64() < exact:
			spans[i] = Exact(life)
		case draw.IntN(4) == 0:
			spans[i] = RightCensored(life * draw.Float64())
		default:
			spans[i] = Between(life*draw.Float64(), life*(1+draw.Float64()))
		}
	}
	return spans
}

func BenchmarkTurnbullLayouts(b *testing.B) {
	for _, c := range []struct {
		name  string
		spans []Span
	}{
		{"20000 weekly", inspected(20_000, 104, 1)},
		{"2000 of 500 times", inspected(2_000, 500, 1)},
		{"2000 half exact", mixed(2_000, 0.5, 1)},
		{"2000 few exact", mixed(2_000, 0.05, 1)},
		{"2000 most exact", mixed(2_000, 0.95, 1)},
		{"2000 no exact", mixed(2_000, 0, 1)},
		{"10000 half exact", mixed(10_000, 0.5, 1)},
	} {
		b.Run(fmt.Sprint(c.name), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				curve, err := Turnbull(c.spans)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(curve.Intervals)), "intervals")
				b.ReportMetric(float64(curve.Iterations), "steps")
			}
		})
	}
}
