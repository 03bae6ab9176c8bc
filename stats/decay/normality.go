package decay

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// shapiroFrancia returns the squared correlation W′ of the ordered values with
// normal scores Φ⁻¹((i − 3/8)/(n + 1/4)), with the mean i for equal values so that
// rounding of readings does not count against them, and the probability of one so low if
// they are normal, by Royston's normal approximation of log(1 − W′) for 5 to
// 5000 values:
//
//	u = log n,  v = log u
//	mean = −1.2725 + 1.0521 (v − u),  SD = 1.0308 − 0.26758 (v + 2/u)
//
// The values must not all be equal.
func shapiroFrancia(values []float64) (w, p float64) {
	ordered := slices.Sorted(slices.Values(values))
	n := float64(len(ordered))
	scores := make([]float64, len(ordered))
	for from := 0; from < len(ordered); {
		to := from
		for to < len(ordered) && ordered[to] == ordered[from] {
			to++
		}
		rank := float64(from+1+to) / 2
		for ; from < to; from++ {
			scores[from] = distuv.UnitNormal.Quantile((rank - 0.375) / (n + 0.25))
		}
	}
	r := stat.Correlation(ordered, scores, nil)
	w = min(r*r, 1)
	u := math.Log(n)
	v := math.Log(u)
	z := (math.Log(1-w) - (-1.2725 + 1.0521*(v-u))) / (1.0308 - 0.26758*(v+2/u))
	return w, distuv.UnitNormal.Survival(z)
}
