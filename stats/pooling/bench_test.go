package pooling

import "testing"

// BenchmarkAverage pools 56 schools with two variances.
func BenchmarkAverage(b *testing.B) {
	d := calendarData()
	for b.Loop() {
		if _, err := Average(d); err != nil {
			b.Fatal(err)
		}
	}
}
