package aft_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// visited simulates n lives, Weibull with three covariates, seen at visits some
// weeks apart for up to 30 months, in groups of two.
func visited(n int, seed uint64) (data Data, group []int) {
	draw := rand.New(rand.NewPCG(seed, 0))
	washes, shade, cold := make([]float64, n), make([]float64, n), make([]float64, n)
	group = make([]int, n)
	shared := 0.0
	for i := range n {
		group[i] = i / 2
		if i%2 == 0 {
			shared = 0.3 * draw.NormFloat64()
		}
		washes[i], shade[i], cold[i] = 6*draw.Float64(), draw.NormFloat64(), float64(draw.IntN(2))
		life := math.Exp(6.2 - 0.05*washes[i] + 0.1*shade[i] - 0.3*cold[i] + shared + 0.5*math.Log(draw.ExpFloat64()))
		leave := 200 + 700*draw.Float64()
		lower, upper := 0.0, 0.0
		for upper < life && upper < leave {
			lower, upper = upper, upper+float64(7*(3+draw.IntN(10)))
		}
		if upper < life {
			lower, upper = upper, math.Inf(1)
		}
		data.Spans = append(data.Spans, survival.Between(lower, upper).OfCluster(group[i]))
	}
	data.Design, _ = NewDesign(n, Numeric("washes", washes), Numeric("shade", shade), Numeric("cold", cold))
	return data, group
}

func BenchmarkFit(b *testing.B) {
	data, _ := visited(100_000, 1)
	for _, law := range Distributions() {
		b.Run(law.String()+"/n=1e5", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(data, law); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkByCluster(b *testing.B) {
	data, _ := visited(100_000, 1)
	m, err := Fit(data, Weibull)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.ByCluster(Jackknife); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkProfileQuantile(b *testing.B) {
	data, _ := visited(1000, 1)
	m, err := Fit(data, Weibull)
	if err != nil {
		b.Fatal(err)
	}
	life := Life{X: []float64{1, 3, 0, 0}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.ProfileQuantile(life, 0.5, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitMixed(b *testing.B) {
	data, group := visited(1000, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitMixed(data, Weibull, group); err != nil {
			b.Fatal(err)
		}
	}
}
