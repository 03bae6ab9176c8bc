package reports

import (
	"math"
	"strings"

	"beadspan/study"
)

// answer tells of one coating: what others like it did, how the vehicle's own
// panels stand, and when to expect the next decision.
// again says that the same places were told of before.
func (c *LetterCoat) answer(v *voice, again bool) string {
	var said []string
	say := func(block string, about any) { said = append(said, v.say(block, about)) }
	about := facts{"Coating": c.Coating, "Where": c.where(v, again), "Vehicles": c.Row.Vehicles, "Patches": c.Row.Patches, "Spent": c.Row.Spent}
	switch {
	case c.At != nil:
		about["Months"], about["Tenths"] = int(c.At.Months), tenthsOf(c.At.Share)
		say("followed", about)
		say(extreme("share", c.At.Share), about)
		if low, high, differ := c.tenthLimits(); differ {
			say("share.limits", facts{"Low": low, "High": high})
		}
		if c.AgeMonths < youngMonths {
			say("share.young", nil)
		} else if math.Floor(c.AgeMonths) > c.At.Months {
			say("share.end", nil)
		}
		if c.Row.Spent < fewSpent || c.Row.SpentVehicles < fewSpentVehicles {
			say("share.few", nil)
		}
	case c.Row.NobodyFailed != nil:
		n := c.Row.NobodyFailed
		about["Vehicles"], about["Months"], about["Tenths"] = n.Vehicles, int(n.Months), int(math.Floor(10*n.AtLeast))
		say("nobody", about)
	case c.Row.Patches > 0:
		say("followed", about)
		say("counts", about)
	default:
		say("unknown", about)
	}
	said = append(said, c.yours(v), c.outlook(v))
	return strings.Join(said, " ")
}

func (c *LetterCoat) where(v *voice, again bool) string {
	if again {
		return v.say("where.again", nil)
	}
	if c.Class == "" {
		return v.say("where.all", nil)
	}
	return v.say("where.class", v.climate(c.Class))
}

// tenthLimits are the limits of the share in whole tenths, which are told where
// they differ from the share itself.
func (c *LetterCoat) tenthLimits() (low, high int, differ bool) {
	if c.At.Limits == nil {
		return 0, 0, false
	}
	low, high = tenthsOf(c.At.Limits.Low), tenthsOf(c.At.Limits.High)
	return low, high, low < high
}

// yours says how the vehicle's own panels stand.
func (c *LetterCoat) yours(v *voice) string {
	n := c.Holding + c.Doubtful + c.Spent
	var said string
	switch {
	case n == 0:
		return v.say("yours.unread", nil)
	case c.Holding == n:
		said = v.say("yours.all", facts{"N": n, "On": c.Looked})
	case c.Holding > 0:
		said = v.say("yours.some", facts{"N": n, "Holding": c.Holding, "On": c.Looked})
	case c.Spent > 0:
		said = v.say("yours.none", facts{"N": c.Spent})
	}
	if c.Doubtful > 0 {
		said += " " + v.say("yours.unsure", facts{"N": c.Doubtful})
	}
	return strings.TrimSpace(said)
}

// outlook says when to expect the next decision; empty where no panel holds.
func (c *LetterCoat) outlook(v *voice) string {
	o := c.Outlook
	switch {
	case o == nil && c.Holding > 0 && c.Topped:
		return v.say("outlook.topped", nil)
	case o == nil && c.Holding > 0:
		return v.say("outlook.none", nil)
	case o == nil:
		return ""
	}
	var said string
	switch {
	case o.Likely == nil:
		said = v.say(extreme("outlook.far", o.HoldsThen), facts{"Panel": o.Panel, "Followed": o.Followed, "Tenths": tenthsOf(o.HoldsThen)})
	case *o.Likely <= o.On:
		said = v.say("outlook.now", facts{"Panel": o.Panel})
	default:
		said = v.say("outlook", facts{"Panel": o.Panel, "Likely": *o.Likely}) + " " + o.spread(v)
	}
	if !o.ByReadings {
		said += " " + v.say("outlook.others", nil)
	}
	return said
}

// spread says how uncertain the day is.
func (o *LetterOutlook) spread(v *voice) string {
	if o.Late == nil {
		return v.say("outlook.open", facts{"Early": max(*o.Early, o.On), "Followed": o.Followed})
	}
	return v.say("outlook.range", facts{"Early": max(*o.Early, o.On), "Late": *o.Late})
}

// toppedAmong reports whether something lies on a holding panel, which hides how
// the coating is.
func toppedAmong(coat []study.Followed) bool {
	for _, f := range coat {
		if f.Span.Standing == study.Holding && f.Span.Ended == study.Topper {
			return true
		}
	}
	return false
}
