package agreement

import "math"

// Scatter is how far measurements of the same thing lie apart.
type Scatter struct {
	// SD is the standard deviation of a single measurement, NaN where DF is 0.
	SD float64
	// DF is how many degrees of freedom it rests on.
	DF int
}

// Within pools the scatter of repeated measurements of several things, each about
// its own mean:
//
//	s² = ∑ᵢ ∑ⱼ (xᵢⱼ − x̄ᵢ)² / ∑ᵢ (nᵢ − 1)
//
// which is the mean square within groups of a one-way analysis of variance, in
// the square of the measurements' unit. Two measurements of one thing differ by
// less than 1.96·√2·s in 95 of 100 cases, where s is the same for all and
// errors are normal. A thing measured once tells nothing.
//
// Source: Bland and Altman, Statistics notes: Measurement error, BMJ 313 (1996)
// 744.
func Within(repeats [][]float64) Scatter {
	sum, df := 0.0, 0
	for _, xs := range repeats {
		if len(xs) < 2 {
			continue
		}
		mean := 0.0
		for _, x := range xs {
			mean += x / float64(len(xs))
		}
		for _, x := range xs {
			sum += (x - mean) * (x - mean)
		}
		df += len(xs) - 1
	}
	return newScatter(sum, df)
}

func newScatter(sumOfSquares float64, df int) Scatter {
	if df <= 0 {
		return Scatter{math.NaN(), 0}
	}
	return Scatter{math.Sqrt(sumOfSquares / float64(df)), df}
}
