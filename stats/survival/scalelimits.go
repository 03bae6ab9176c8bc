package survival

import "fmt"

// Limits returns confidence limits of a survival estimate s whose logarithm has
// standard error se, such as one predicted by a regression. They are NaN where
// the scale does not define them. ErrLevel for a level outside (0, 1).
func (scale Scale) Limits(s, se, level float64) (lower, upper float64, err error) {
	if err := validLevel(level); err != nil {
		return 0, 0, fmt.Errorf("limits of survival: %w", err)
	}
	lower, upper = scale.limits(s, normalQuantile(level)*se)
	return lower, upper, nil
}
