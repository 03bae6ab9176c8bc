package survival

import (
	"errors"
	"fmt"
	"math"
)

// Span is what is known of one life: it ended in (Lower, Upper], and it was
// watched from Entry on.
//
// The interval is open at Lower and closed at Upper: at Lower the life was
// seen to hold, at Upper it was seen to have ended. Two spans (0, 5] and
// (5, 10] share no time. Lower = Upper is an end known exactly; Upper = +Inf a
// life that had not ended when last seen (right-censored); Lower = 0 with
// Entry = 0 one of which only an upper end is known (left-censored).
//
// Entry = 0 means watched from the start. A later Entry means delayed entry,
// or left truncation: had the life ended by then, it would not be in the data.
// Such a life counts as at risk strictly after Entry.
type Span struct {
	Entry, Lower, Upper float64

	// Weight is how many lives the span stands for, not necessarily a whole
	// number. 0, as in a Span written without it, means 1; Weighing tells a
	// weight of 0 from one that was not given.
	Weight float64

	// Cluster numbers the group of lives, such as the patches of one vehicle,
	// that this one shares its circumstances with. Resampling and ClusterTest use
	// it.
	Cluster int
}

// Exact is a life that ended at time t.
func Exact(t float64) Span { return Span{Lower: t, Upper: t} }

// RightCensored is a life that still held at time t, when it was last seen.
func RightCensored(t float64) Span { return Span{Lower: t, Upper: math.Inf(1)} }

// Between is a life that held at lower and had ended by upper.
func Between(lower, upper float64) Span { return Span{Lower: lower, Upper: upper} }

// LeftCensored is a life that had ended by upper; it was never seen to hold.
func LeftCensored(upper float64) Span { return Span{Upper: upper} }

// EnteredAt returns s with its entry: the life is known of only because it
// still held at that time.
func (s Span) EnteredAt(entry float64) Span {
	s.Entry = entry
	return s
}

// OfCluster returns s with its cluster.
func (s Span) OfCluster(cluster int) Span {
	s.Cluster = cluster
	return s
}

// Weighing returns s with its weight. No method takes a weight of 0: leave such
// a life out.
func (s Span) Weighing(weight float64) Span {
	if weight == 0 {
		weight = math.Copysign(0, -1) // not the 0 of a weight not given
	}
	s.Weight = weight
	return s
}

// Lives is how many lives s stands for: its Weight, 1 if none was given.
func (s Span) Lives() float64 {
	if s.Weight == 0 {
		return 1
	}
	return s.Weight
}

// exact reports whether the life's end is known to the point.
func (s Span) exact() bool { return s.Lower == s.Upper }

// rightCensored reports whether the life had not ended when last seen.
func (s Span) rightCensored() bool { return math.IsInf(s.Upper, 1) }

// saysNothing reports whether the life is a late entrant censored at its very
// entry: given that it held then, nothing more is known of it.
func (s Span) saysNothing() bool {
	return s.rightCensored() && s.Entry > 0 && s.Entry == s.Lower
}

// ErrNoSpans is returned where there is nothing to estimate from.
var ErrNoSpans = errors.New("no spans")

// ErrLevel is returned for a confidence level outside (0, 1).
var ErrLevel = errors.New("confidence level must lie between 0 and 1")

// SpanError says which span makes no sense, or no sense to the method called.
type SpanError struct {
	Index  int // in the slice given, from 0
	Span   Span
	Reason string
}

// Error names the span and what is wrong with it.
func (e *SpanError) Error() string {
	return fmt.Sprintf("span %d (entry %v, lower %v, upper %v): %s",
		e.Index, e.Span.Entry, e.Span.Lower, e.Span.Upper, e.Reason)
}

// Validate returns ErrNoSpans, or a *SpanError for the first span that could
// not describe a life.
func Validate(spans []Span) error {
	if len(spans) == 0 {
		return ErrNoSpans
	}
	for i, s := range spans {
		if reason := s.problem(); reason != "" {
			return &SpanError{Index: i, Span: s, Reason: reason}
		}
	}
	return nil
}

// validateExact is Validate for methods that need each end known to the point
// or not reached.
func validateExact(spans []Span) error {
	if err := Validate(spans); err != nil {
		return err
	}
	for i, s := range spans {
		if !s.exact() && !s.rightCensored() {
			return &SpanError{Index: i, Span: s,
				Reason: "its end is known only to lie in an interval: use Turnbull and ScoreTest"}
		}
	}
	return nil
}

const (
	endedAtEntry   = "ended at its entry: it was never at risk"
	butForRounding = " (but for rounding)"
)

// sound reports whether s has no problem, quickly.
func (s *Span) sound() bool {
	weight := math.Float64bits(s.Weight) // infinity and, as a whole number, all that is worse are larger
	return 0 <= s.Entry && s.Entry <= s.Lower && s.Lower <= s.Upper && s.Lower <= math.MaxFloat64 &&
		(s.Entry < s.Upper || s.Entry == 0) && weight < math.Float64bits(math.Inf(1))
}

// problem says what is wrong with s; nothing where it is sound.
func (s Span) problem() string {
	switch {
	case math.IsNaN(s.Entry) || math.IsNaN(s.Lower) || math.IsNaN(s.Upper):
		return "not a number"
	case s.Entry < 0 || s.Lower < 0 || s.Upper < 0:
		return "negative time"
	case math.IsInf(s.Lower, 1):
		return "lower end must be finite"
	case s.Upper < s.Lower:
		return "upper end lies before lower end"
	case s.Entry > s.Lower:
		return "entered after the lower end, when it was already being watched"
	case s.exact() && s.Entry == s.Upper && s.Entry > 0:
		return endedAtEntry
	case math.Signbit(s.Weight) || math.IsNaN(s.Weight) || math.IsInf(s.Weight, 1):
		return fmt.Sprintf("weight %v: it must be a number above 0", s.Weight+0)
	}
	return ""
}

func validLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("%w: got %v", ErrLevel, level)
	}
	return nil
}
