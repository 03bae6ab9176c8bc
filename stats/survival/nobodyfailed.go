package survival

import (
	"errors"
	"fmt"
	"math"
)

// ErrCount is returned for a number of lives that there cannot be.
var ErrCount = errors.New("no such number of lives")

// NobodyFailed is the exact one-sided lower limit, at a confidence level, of
// the share of lives that last a time which all n independent lives outlived:
//
//	S ≥ (1 − level)^(1/n)
//
// 10 out of 10 at level 0.95: at least 0.7411. Lives of one cluster are not
// independent: n is then the number of clusters. n below 1 is ErrCount, a bad
// level ErrLevel.
//
// Source: the zero-failure case of Clopper and Pearson, Biometrika 26 (1934)
// 404–413, one-sided.
func NobodyFailed(n int, level float64) (float64, error) {
	if n < 1 {
		return 0, fmt.Errorf("nobody failed: %w: got %d", ErrCount, n)
	}
	if err := validLevel(level); err != nil {
		return 0, fmt.Errorf("nobody failed: %w", err)
	}
	return math.Pow(1-level, 1/float64(n)), nil
}
