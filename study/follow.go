package study

// followed is what a walk through a patch's visits, in order, has established.
type followed struct {
	visits              int
	held                bool // a proof of holding before any counted fail
	firstHeld, lastHeld Day
	spent               bool // a counted fail
	spentBy             Day
	pending             bool // the last conclusive days failed, but too few of them
	last                outcome
	reviews             []Review

	masked, doubtful, cancelled, contrary, passedAfter int
}

// Review is something about a patch that somebody should look at.
type Review struct {
	Day  Day
	What ReviewKind
}

// ReviewKind says what is to be looked at.
type ReviewKind string

// The kinds of review.
const (
	// CancelledFail: a conclusive fail was followed by a pass before it was
	// confirmed. One of the two readings is off.
	CancelledFail ReviewKind = "cancelled_fail"
	// PassAfterSpent: a pass after the patch counted as spent. A topper that
	// nobody logged, or a new coating.
	PassAfterSpent ReviewKind = "pass_after_spent"
	// ContraryPair: a pass before the decontamination wash and a fail after it
	// on the same day. Shampoo residue or a topper that nobody logged.
	ContraryPair ReviewKind = "contrary_pair"
)

// follow walks through the visits under the rule of confirmation.
func (p Protocol) follow(visits []visit) followed {
	f := followed{visits: len(visits)}
	fails, firstFail := 0, Day(0) // the current run of conclusive fails
	for _, v := range visits {
		f.last = v.outcome
		if v.masked {
			f.masked++
		}
		if v.contrary {
			f.contrary++
			f.review(v.day, ContraryPair)
		}
		switch v.outcome {
		case provesNothing:
			f.doubtful++
		case provesSpent:
			if fails == 0 {
				firstFail = v.day
			}
			fails++
			if fails >= p.Confirm && !f.spent {
				f.spent, f.spentBy = true, firstFail
			}
		case provesHolding:
			switch {
			case f.spent:
				f.passedAfter++
				f.review(v.day, PassAfterSpent)
			case fails > 0:
				f.cancelled += fails
				f.review(firstFail, CancelledFail)
				fallthrough
			default:
				f.hold(v.day)
			}
			fails = 0
		}
	}
	f.pending = fails > 0 && !f.spent
	return f
}

func (f *followed) hold(day Day) {
	if !f.held {
		f.held, f.firstHeld = true, day
	}
	f.lastHeld = day
}

func (f *followed) review(day Day, what ReviewKind) {
	f.reviews = append(f.reviews, Review{day, what})
}
