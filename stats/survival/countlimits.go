package survival

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// CountLimits are exact limits of the share p of lives that last a time, from
// held of n independent lives that did. Each is one-sided at the level:
//
//	P(X ≥ held | p = lower) = 1 − level,  P(X ≤ held | p = upper) = 1 − level
//
// with X binomial, so that together they are limits of confidence 2 level − 1.
// They are quantiles of beta distributions:
//
//	lower = B(1 − level; held, n − held + 1),  upper = B(level; held + 1, n − held)
//
// and 0 where none, 1 where all held. By this form held and n need not be whole,
// as where n is the number of lives that a censored sample is worth: the limits
// run smoothly between those of whole numbers, and are then no longer exact.
// Where all of n held, lower is NobodyFailed. Lives of one cluster are not
// independent: count clusters.
//
// n that is not above 0 or not finite, or a held outside of [0, n], is ErrCount; a bad level
// ErrLevel.
//
// Source: Clopper and Pearson, Biometrika 26 (1934) 404–413; for numbers that a
// censored sample is worth, Dorey and Korn, Stat. Med. 6 (1987) 679–687 (from
// memory).
func CountLimits(held, n, level float64) (lower, upper float64, err error) {
	if !(n > 0 && !math.IsInf(n, 1) && 0 <= held && held <= n) {
		return 0, 0, fmt.Errorf("limits of a count: %w: got %v of %v", ErrCount, held, n)
	}
	if err := validLevel(level); err != nil {
		return 0, 0, fmt.Errorf("limits of a count: %w", err)
	}
	lower, upper = 0, 1
	if held > 0 {
		lower = mathext.InvRegIncBeta(held, n-held+1, 1-level)
	}
	if held < n {
		upper = mathext.InvRegIncBeta(held+1, n-held, level)
	}
	return lower, upper, nil
}
