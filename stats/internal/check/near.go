package check

import (
	"math"
	"testing"
)

// Tolerance says how far a computed number may lie from its reference.
type Tolerance struct {
	Rel float64 `json:"rel"` // share of the reference's size
	Abs float64 `json:"abs"` // in the unit of the reference
}

// Near reports whether got agrees with want:
//
//	|got − want| ≤ tol.Abs + tol.Rel·|want|
//
// A NaN is near nothing, not even another NaN. An infinity is near only
// itself.
func Near(got, want float64, tol Tolerance) bool {
	if math.IsInf(got, 0) || math.IsInf(want, 0) {
		return got == want
	}
	return math.Abs(got-want) <= tol.Abs+tol.Rel*math.Abs(want)
}

// Value fails the test unless got is near want. A NaN in want stands for "not
// defined" in a reference case and asks for NaN.
func Value(t testing.TB, what string, got, want float64, tol Tolerance) {
	t.Helper()
	if math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	if !Near(got, want, tol) {
		t.Errorf("%s: got %v, want %v (rel %g, abs %g)", what, got, want, tol.Rel, tol.Abs)
	}
}

// Values fails the test unless got has the length of want and each number of
// got passes Value against its neighbour in want.
func Values(t testing.TB, what string, got []float64, want []Number, tol Tolerance) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: got %d numbers %v, want %d %v", what, len(got), got, len(want), want)
		return
	}
	for i := range got {
		if g, w := got[i], float64(want[i]); !(math.IsNaN(w) && math.IsNaN(g)) && !Near(g, w, tol) {
			t.Errorf("%s[%d]: got %v, want %v (rel %g, abs %g)", what, i, g, w, tol.Rel, tol.Abs)
		}
	}
}
