package study

import "math"

// Span is a patch's life as the data know it: still holding at LowerDays,
// spent by UpperDays, counted from the day service began. The patch was spent
// in the interval (LowerDays, UpperDays]; of the moment itself nothing is known.
type Span struct {
	// EntryDays is where following began: 0, or for a patch enrolled after its
	// service began the first reading that passed. That such a patch was alive
	// at EntryDays is why it is in the study at all, so it says nothing of
	// lives shorter than that.
	EntryDays float64
	// LowerDays is the last proof of holding; EntryDays when there is none.
	LowerDays float64
	// UpperDays is the first counted fail; +Inf while there is none.
	UpperDays float64
	// Known is false when nothing is known of the life: never conclusively
	// read, or enrolled late and never seen holding. The days then mean nothing.
	Known bool

	Standing Standing
	// Ended says what ended the following of the patch; empty when nothing
	// did. A topper ends it under to_topper.
	Ended   CareKind
	EndedOn Day
	// Reviews lists what somebody should look at.
	Reviews []Review
	// Decided counts what the rules did with this patch.
	Decided Decided
}

// Spent reports whether the span ends in a counted fail.
func (s Span) Spent() bool { return s.Known && !math.IsInf(s.UpperDays, 1) }

// Derive turns a patch's history into its span. patch is one of the vehicle's
// patches; the vehicle brings checkups, care and the day of enrolment, in any
// order. Care of a day is taken to follow that day's readings.
//
// The rules, each with its reason:
//
//   - A day's reading that passes proves that the patch holds; one that fails
//     proves it spent only after a decontamination wash, since traffic film
//     hides repellency. A fail without one proves nothing.
//   - A fail counts when the next Confirm-1 conclusive days fail too; the
//     patch was spent before the first of them. A pass in between cancels it.
//     Without enough later readings it is pending, and not yet an event.
//   - A first counted fail without any proof of holding before it leaves the
//     span open to the left, from 0.
//   - Care that covers or takes off the coating, or the vehicle out of sight,
//     ends the span at the last proof of holding; so does the first topper
//     under to_topper.
//   - A patch enrolled after its service began is followed from its first
//     reading that passed.
func (p Protocol) Derive(v Vehicle, patch Patch) Span {
	all := p.visits(v.Checkups, patch.ID)
	care := v.CareOf(patch.ID)
	end, ended := firstEnd(care, patch)
	cut, cutShort := p.firstCut(care, patch)

	used := until(all, cut, cutShort)
	life := p.follow(used)
	late := v.Enrolled > patch.InService()

	s := Span{UpperDays: math.Inf(1)}
	if life.held || (life.spent && !late) {
		s.Known = true
		s.setDays(life, patch.InService(), late)
	}
	if cutShort && !life.spent {
		s.Ended, s.EndedOn = cut.Kind, cut.Day
	}
	s.Standing = standingOf(p.follow(until(all, end, ended)), ended)
	s.Reviews = life.reviews
	s.Decided = decided(s, life, late, len(all)-len(used))
	return s
}

// setDays counts the span's days from the day service began.
func (s *Span) setDays(life followed, begin Day, late bool) {
	if late {
		s.EntryDays = daysAfter(begin, life.firstHeld)
	}
	s.LowerDays = s.EntryDays
	if life.held {
		s.LowerDays = daysAfter(begin, life.lastHeld)
	}
	if life.spent {
		// A patch seen spent on the day service begins was spent within its first day.
		s.UpperDays = math.Max(1, daysAfter(begin, life.spentBy))
	}
}

// LeavesOn returns the day on which the patch leaves the study under p: that of
// the first care that covers or takes off the coating, or puts the vehicle out
// of sight, or under to_topper of the first topper. Readings of that day are
// the last that tell of the coating. It returns false for a patch that nothing
// took out.
func (p Protocol) LeavesOn(v Vehicle, patch Patch) (Day, bool) {
	cut, isCut := p.firstCut(v.CareOf(patch.ID), patch)
	return cut.Day, isCut
}

// firstCut finds the first care that cuts the span short under the estimand.
func (p Protocol) firstCut(care []Care, patch Patch) (Care, bool) {
	return find(care, func(c Care) bool {
		topped := p.Estimand == ToTopper && c.Kind == Topper && c.Day >= patch.Applied
		return topped || ends(c, patch)
	})
}

// firstEnd finds the first care that ends the following of the patch.
func firstEnd(care []Care, patch Patch) (Care, bool) {
	return find(care, func(c Care) bool { return ends(c, patch) })
}

// ends reports whether c ends the following of the patch. Such work on the day
// of coating came before the coating.
func ends(c Care, patch Patch) bool { return c.Kind.Ends() && c.Day > patch.Applied }

// until keeps the visits up to the day of the cut, that day included.
func until(visits []visit, cut Care, isCut bool) []visit {
	for i, v := range visits {
		if isCut && v.day > cut.Day {
			return visits[:i]
		}
	}
	return visits
}

// daysAfter counts days of service; before service begins it is day 0.
func daysAfter(begin, day Day) float64 {
	return math.Max(0, float64(day-begin))
}

func find(care []Care, is func(Care) bool) (Care, bool) {
	for _, c := range care {
		if is(c) {
			return c, true
		}
	}
	return Care{}, false
}
