package decay

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/combin"
)

// runsBelow returns the probability that n1 and n2 signs in random order make
// no more than some number of runs:
//
//	P(2k) = 2 C(n1−1, k−1) C(n2−1, k−1)/C(n1+n2, n1)
//	P(2k+1) = [C(n1−1, k) C(n2−1, k−1) + C(n1−1, k−1) C(n2−1, k)]/C(n1+n2, n1)
func runsBelow(n1, n2, runs int) float64 {
	p := 0.0
	for r := 2; r <= runs; r++ {
		k := r / 2
		if r%2 == 0 {
			p += 2 * math.Exp(logChoose(n1-1, k-1)+logChoose(n2-1, k-1)-logChoose(n1+n2, n1))
			continue
		}
		p += math.Exp(logChoose(n1-1, k)+logChoose(n2-1, k-1)-logChoose(n1+n2, n1)) +
			math.Exp(logChoose(n1-1, k-1)+logChoose(n2-1, k)-logChoose(n1+n2, n1))
	}
	return min(p, 1)
}

// logChoose is the logarithm of a binomial coefficient.
func logChoose(n, k int) float64 {
	if k < 0 || k > n {
		return math.Inf(-1)
	}
	return combin.LogGeneralizedBinomial(float64(n), float64(k))
}

// signsInTime reports, for each time in order, whether the mean residual is
// above 0, and passes over times at which it is 0.
func signsInTime(points []Point, residuals []float64) []bool {
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(points[a].Time, points[b].Time) })
	var above []bool
	for from := 0; from < len(order); {
		to, sum := from, 0.0
		for ; to < len(order) && points[order[to]].Time == points[order[from]].Time; to++ {
			sum += math.Sqrt(points[order[to]].Weight) * residuals[order[to]]
		}
		if sum != 0 {
			above = append(above, sum > 0)
		}
		from = to
	}
	return above
}

// countRuns counts the signs of each kind and their runs.
func countRuns(above []bool) (n1, n2, runs int) {
	for i, sign := range above {
		if sign {
			n1++
		} else {
			n2++
		}
		if i == 0 || sign != above[i-1] {
			runs++
		}
	}
	return n1, n2, runs
}
