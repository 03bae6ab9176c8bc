package survival

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Pair is one of many comparisons of two groups.
type Pair struct {
	A, B     int // positions of the groups, A < B
	ChiSq, P float64
	// Adjusted is P by Holm's method for all pairs that could be compared. All
	// three are NaN for a pair that could not.
	Adjusted float64
}

// Pairwise compares each of the groups 0, 1, … with each other by test and
// adjusts for their number by Holm's method. A pair for which test returns
// ErrIncomparable stays in the result as not comparable; any other error ends
// the work and is returned, with the pair.
func Pairwise(groups int, test func(a, b int) (chiSq, p float64, err error)) ([]Pair, error) {
	var pairs []Pair
	var ps []float64
	for a := range groups {
		for b := a + 1; b < groups; b++ {
			pair := Pair{A: a, B: b}
			var err error
			pair.ChiSq, pair.P, err = test(a, b)
			switch {
			case errors.Is(err, ErrIncomparable):
				pair.ChiSq, pair.P = math.NaN(), math.NaN()
			case err != nil:
				return nil, fmt.Errorf("compare groups %d and %d: %w", a, b, err)
			}
			pairs = append(pairs, pair)
			ps = append(ps, pair.P)
		}
	}
	for i, adjusted := range Holm(ps) {
		pairs[i].Adjusted = adjusted
	}
	return pairs, nil
}

// PairwiseLogRank is Pairwise by WeightedLogRank, on the lives of the two groups
// alone. Its errors are those of WeightedLogRank, with the
// pair, and positions within the pair.
func PairwiseLogRank(weight RankWeight, strata ...[][]Span) ([]Pair, error) {
	groups, err := groupsOf(strata)
	if err != nil {
		return nil, fmt.Errorf("pairwise log-rank: %w", err)
	}
	return Pairwise(groups, func(a, b int) (chiSq, p float64, err error) {
		two := make([][][]Span, len(strata))
		for s, stratum := range strata {
			two[s] = [][]Span{stratum[a], stratum[b]}
		}
		r, err := WeightedLogRank(weight, two...)
		if err != nil {
			return 0, 0, err
		}
		return r.ChiSq, r.P, nil
	})
}

// Holm adjusts the P values of m tests so that the chance of any false alarm
// among them is at most the level that an adjusted one is held against, however
// the tests depend on each other. With p₍₁₎ ≤ … ≤ p₍ₘ₎,
//
//	adjusted p₍ᵢ₎ = max over j ≤ i of min(1, (m − j + 1) p₍ⱼ₎)
//
// The result has the order of p. A NaN stands for a test that was not made: it
// stays NaN and does not count in m. It panics on a p outside [0, 1].
//
// Source: Holm, Scand. J. Stat. 6 (1979) 65–70.
func Holm(p []float64) []float64 {
	adjusted := slices.Clone(p)
	var made []int
	for i, x := range p {
		switch {
		case math.IsNaN(x):
		case x < 0 || x > 1:
			panic(fmt.Sprintf("survival: Holm: %v is no probability", x))
		default:
			made = append(made, i)
		}
	}
	slices.SortStableFunc(made, func(i, j int) int { return cmp.Compare(p[i], p[j]) })
	highest := 0.0
	for j, i := range made {
		highest = max(highest, min(1, float64(len(made)-j)*p[i]))
		adjusted[i] = highest
	}
	return adjusted
}
