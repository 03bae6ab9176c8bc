package mixed

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
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

func BenchmarkCurves(b *testing.B) {
	for _, size := range []struct{ vehicles, most, nodes int }{{200, 29, 0}, {200, 29, 1}} {
		readings, own := drawFleet(rand.New(rand.NewPCG(3, 4)), size.vehicles, size.most)
		b.Run(fmt.Sprintf("%dpatches%dreadings/nodes%d", len(own), len(readings), size.nodes), func(b *testing.B) {
			model := fleetModel
			model.Nodes = size.nodes
			for b.Loop() {
				if _, err := Curves(readings, model); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkReport is what a report asks of one coating of the demo.
func BenchmarkReport(b *testing.B) {
	patches := demoPatches(simulate.Fleet(simulate.Seed), "BIRCH")
	readings := readingsOf(patches)
	start, err := ExponentialStart(readings, nil)
	require.NoError(b, err)
	fit, err := Curves(readings, demoModel(start))
	require.NoError(b, err)
	populations := fit.Draw(200, 1)
	months := make([]float64, 36)
	for i := range months {
		months[i] = float64(i+1) * study.DaysPerMonth
	}
	b.Run("fit", func(b *testing.B) {
		for b.Loop() {
			_, err := Curves(readings, demoModel(start))
			require.NoError(b, err)
		}
	})
	b.Run("life", func(b *testing.B) {
		for b.Loop() {
			_, err := populations.Life(LifeOptions{Threshold: 90, Times: months, Level: 0.95})
			require.NoError(b, err)
		}
	})
	b.Run("outlook", func(b *testing.B) {
		for b.Loop() {
			_, err := populations.Outlook(patches[0].outer, patches[0].inner, patches[0].readings[0].Covariates, OutlookOptions{Times: months[24:], Threshold: 90, Level: 0.95})
			require.NoError(b, err)
		}
	})
	b.Run("resample19", func(b *testing.B) {
		for b.Loop() {
			_, err := fit.Resample(context.Background(), 19, 1)
			require.NoError(b, err)
		}
	})
}
