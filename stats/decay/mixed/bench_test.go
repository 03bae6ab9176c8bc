package mixed

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkLinear(b *testing.B) {
	for _, size := range []struct{ groups, rows int }{{200, 8}, {2000, 15}, {5000, 12}, {10_000, 10}} {
		b.Run(fmt.Sprintf("%dx%d", size.groups, size.rows), func(b *testing.B) {
			random := rand.New(rand.NewPCG(1, 2))
			var rows []Row
			for g := range size.groups {
				u, v := random.NormFloat64(), random.NormFloat64()/2
				for range size.rows {
					x := random.Float64()
					rows = append(rows, Row{
						Value: 4 + u + (v-1)*x + random.NormFloat64()/3, Weight: 1,
						Fixed: []float64{1, x}, Outer: g, OuterRandom: []float64{1, x},
					})
				}
			}
			model := LinearModel{Fixed: []string{"1", "x"}, Levels: []Level{{[]string{"1", "x"}, true}}, Criterion: REML}
			for b.Loop() {
				if _, err := Linear(rows, model); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
