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

// BenchmarkClusterTest counts 9,999 ways to deal two coatings to vehicles of four
// patches, or within them.
func BenchmarkClusterTest(b *testing.B) {
	for _, c := range []struct {
		name string
		how  func(vehicle, patch int) int
	}{{"300 whole", byVehicle}, {"300 matched", byPatch}} {
		b.Run(c.name, func(b *testing.B) {
			groups := clustered(300, 4, 1, c.how)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ClusterTest(b.Context(), groups, Relabelling{Scores: Sun, Replicates: 9999}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
