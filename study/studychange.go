package study

import (
	"fmt"
	"time"
)

// StudyChange is one change of a study's own rules: who made it, when and why,
// and what it changed.
type StudyChange struct {
	At      time.Time
	By      string // name of the account
	Why     string
	Changes []Change
}

// Differences lists what the other study says otherwise than s: question,
// protocol and care plan, each field before and after.
func (s Study) Differences(other Study) []Change {
	var list []Change
	differ := func(field string, before, after any) {
		if before != after {
			list = append(list, Change{field, fmt.Sprint(before), fmt.Sprint(after)})
		}
	}
	differ("question", s.Question, other.Question)
	differ("metric", s.Protocol.Metric, other.Protocol.Metric)
	differ("threshold", s.Protocol.Threshold, other.Protocol.Threshold)
	differ("confirm", s.Protocol.Confirm, other.Protocol.Confirm)
	differ("estimand", s.Protocol.Estimand, other.Protocol.Estimand)
	differ("claim_low_pct", s.Protocol.Claim.LowPct, other.Protocol.Claim.LowPct)
	differ("claim_high_pct", s.Protocol.Claim.HighPct, other.Protocol.Claim.HighPct)
	differ("claim_confidence_pct", s.Protocol.Claim.ConfidencePct, other.Protocol.Claim.ConfidencePct)
	differ("wash_days", s.CarePlan.WashDays, other.CarePlan.WashDays)
	differ("iron_days", s.CarePlan.IronDays, other.CarePlan.IronDays)
	differ("decon_days", s.CarePlan.DeconDays, other.CarePlan.DeconDays)
	differ("salt_decon_days", s.CarePlan.SaltDeconDays, other.CarePlan.SaltDeconDays)
	differ("checkup_days", s.CarePlan.CheckupDays, other.CarePlan.CheckupDays)
	return list
}

// SpanChange is a patch whose span is another one under another protocol.
type SpanChange struct {
	Vehicle       *Vehicle
	Patch         *Patch
	Before, After Span
}

// SpansChanged lists the coated patches of the fleet whose span or standing
// differs between two protocols, and says how many there are in all.
func (f *Fleet) SpansChanged(from, to Protocol) (list []SpanChange, of int) {
	after := f.Follow(to)
	for i, b := range f.Follow(from) {
		if b.Coating.Control {
			continue
		}
		of++
		if a := after[i]; !b.Span.same(a.Span) {
			list = append(list, SpanChange{b.Vehicle, b.Patch, b.Span, a.Span})
		}
	}
	return list, of
}

// same reports whether two spans of a patch tell the same of its life.
func (s Span) same(other Span) bool {
	if s.Known != other.Known || s.Standing != other.Standing || s.Ended != other.Ended {
		return false
	}
	return !s.Known || (s.EntryDays == other.EntryDays && s.LowerDays == other.LowerDays && s.UpperDays == other.UpperDays)
}
