package study

import "slices"

// Verdict is what a study says of a maker's claim, or of one end of it.
type Verdict string

// The verdicts.
const (
	Supported    Verdict = "supported"
	Contradicted Verdict = "contradicted"
	CannotTell   Verdict = "cannot_tell"
)

// Verdicts lists the verdicts.
func Verdicts() []Verdict { return []Verdict{Supported, Contradicted, CannotTell} }

// JudgeShare holds a share, known to lie between two limits, against the least
// that was promised: supported from atLeast ≥ promised, contradicted from
// atMost < promised. A share of which nothing is known lies between 0 and 1.
func JudgeShare(atLeast, atMost, promised float64) Verdict {
	switch {
	case atLeast >= promised:
		return Supported
	case atMost < promised:
		return Contradicted
	}
	return CannotTell
}

// JudgeClaim makes one verdict of those on a claim's ends: supported where all
// are, contradicted where one is.
//
// All ends must hold, so that limits which miss the truth in α of studies on
// either side support a claim that falls short at any of them in α at most, and
// contradict one that falls short nowhere in α for each end: 5 % for the two
// ends where limits are of 95 %.
func JudgeClaim(ends ...Verdict) Verdict {
	switch {
	case slices.Contains(ends, Contradicted):
		return Contradicted
	case len(ends) == 0 || slices.Contains(ends, CannotTell):
		return CannotTell
	}
	return Supported
}
