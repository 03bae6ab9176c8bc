package survival_test

import (
	"math/rand/v2"
	"testing"

	. "beadspan/stats/survival"
)

// manyLives simulates two groups of n lives together, at whole days or at times
// nearly all different.
func manyLives(n int, whole bool) [][]Span {
	draw := rand.New(rand.NewPCG(1, 4))
	groups := make([][]Span, 2)
	for i := range n {
		t := 1000 * draw.Float64()
		if whole {
			t = float64(int(t))
		}
		s := Exact(t)
		if draw.IntN(3) == 0 {
			s = RightCensored(t)
		}
		groups[i%2] = append(groups[i%2], s)
	}
	return groups
}

func BenchmarkLogRank(b *testing.B) {
	for _, c := range []struct {
		name  string
		whole bool
	}{{"1e6 at 1000 times", true}, {"1e6 at 1e6 times", false}} {
		b.Run(c.name, func(b *testing.B) {
			groups := manyLives(1_000_000, c.whole)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := LogRank(groups); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
