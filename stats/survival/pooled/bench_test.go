package pooled

import "testing"

// BenchmarkFit pools three kinds in ten places, a chain's fleet of 16,000
// clusters with some 32,000 lives.
func BenchmarkFit(b *testing.B) {
	s := demoLike()
	s.places, s.clusters = 10, 1600
	d := s.draw(1).data
	for b.Loop() {
		if _, err := Fit(d, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
