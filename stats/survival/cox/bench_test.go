package cox_test

import (
	"math"
	"math/rand/v2"
	"testing"

	. "beadspan/stats/survival/cox"
)

// fleet simulates n lives with five covariates, a third of them censored. Ends
// fall on one of a number of days, or are continuous (0). Rows of clusters of
// four are not made dependent: a benchmark does not mind.
func fleet(n, days int, late bool, seed uint64) Data {
	draw := rand.New(rand.NewPCG(seed, 2))
	d := Data{Covariates: 5, Cluster: make([]int, n)}
	for i := range n {
		x := []float64{draw.NormFloat64(), float64(draw.IntN(2)), 40 + 10*draw.NormFloat64(), float64(draw.IntN(3)), draw.Float64()}
		rate := math.Exp(0.5*x[0] - 0.3*x[1] + 0.02*x[2] - x[4])
		life := 400 * math.Pow(draw.ExpFloat64()/rate, 1/1.8)
		leave := 900 * draw.Float64()
		stop := min(life, leave)
		if days > 0 {
			stop = 1 + math.Floor(stop*float64(days)/3000)
		}
		d.X = append(d.X, x...)
		d.Stop = append(d.Stop, stop)
		d.Event = append(d.Event, life <= leave)
		d.Cluster[i] = i / 4
		if late {
			d.Start = append(d.Start, stop*draw.Float64()*0.9)
		}
	}
	return d
}

func BenchmarkFit(b *testing.B) {
	for _, c := range []struct {
		name     string
		days     int
		late     bool
		ties     Ties
		clusters bool
	}{
		{name: "efron/continuous"},
		{name: "efron/days", days: 1000},
		{name: "breslow/days", days: 1000, ties: Breslow},
		{name: "efron/late", days: 1000, late: true},
		{name: "efron/clusters", days: 1000, clusters: true},
	} {
		b.Run(c.name+"/100000x5", func(b *testing.B) {
			d := fleet(100_000, c.days, c.late, 1)
			if !c.clusters {
				d.Cluster = nil
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(d, c.ties); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkExact(b *testing.B) {
	d := fleet(2_000, 100, false, 1)
	d.Cluster = nil
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Fit(d, Exact); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkConcordance(b *testing.B) {
	m, err := Fit(fleet(100_000, 1000, false, 1), Efron)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		m.Concordance()
	}
}

func BenchmarkProportionalHazards(b *testing.B) {
	m, err := Fit(fleet(100_000, 1000, false, 1), Efron)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.ProportionalHazards(KM); err != nil {
			b.Fatal(err)
		}
	}
}
