package decay

import (
	"math/rand/v2"
	"testing"
)

func benchmarkPoints(n int) []Point {
	random := rand.New(rand.NewPCG(1, 2))
	points := make([]Point, n)
	for i := range points {
		day := float64(random.IntN(900))
		points[i] = Point{day, truthAt(day) + 3*random.NormFloat64(), 1, i / 8}
	}
	return points
}

func BenchmarkFit10000Readings(b *testing.B) {
	points := benchmarkPoints(10_000)
	for b.Loop() {
		if _, err := Fit(points, Options{Clustered: true}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFit2000Patches(b *testing.B) {
	points := benchmarkPoints(12 * 2000)
	for b.Loop() {
		for i := 0; i < len(points); i += 12 {
			if _, err := Fit(points[i:i+12], Options{}); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkFitShapes(b *testing.B) {
	points := benchmarkPoints(12 * 100)
	for _, shape := range Shapes() {
		for _, loss := range []Loss{Squares, Huber} {
			b.Run(string(shape)+string(loss), func(b *testing.B) {
				for b.Loop() {
					for i := 0; i < len(points); i += 12 {
						if _, err := Fit(points[i:i+12], Options{Shape: shape, Loss: loss}); err != nil {
							b.Fatal(err)
						}
					}
				}
			})
		}
	}
}

func BenchmarkProfileTimeTo(b *testing.B) {
	curve, err := Fit(benchmarkPoints(12), Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := curve.ProfileTimeTo(85, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPredict500(b *testing.B) {
	curve, err := Fit(benchmarkPoints(1000), Options{})
	if err != nil {
		b.Fatal(err)
	}
	days := make([]float64, 500)
	for i := range days {
		days[i] = 2 * float64(i)
	}
	for b.Loop() {
		if _, err := curve.Predict(days, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
