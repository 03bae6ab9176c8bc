package study

// CarePlan says how often a study wants its vehicles cared for and checked, in
// days; 0 is never. The zero CarePlan asks for nothing.
type CarePlan struct {
	WashDays int `json:"wash_days"` // maintenance wash
	IronDays int `json:"iron_days"` // iron remover, also as part of a decon wash
	// DeconDays is for a decon wash; SaltDeconDays takes its place in months
	// of the salt season, and the end of the season asks for one in any case.
	DeconDays     int `json:"decon_days"`
	SaltDeconDays int `json:"salt_decon_days"`
	CheckupDays   int `json:"checkup_days"`
}

// DefaultCarePlan is common practice, no source. Whoever made the coating may
// say otherwise, and then is right.
//
//   - Maintenance wash, 45 days: what stays on the panel for longer bakes on,
//     and hides what a checkup should see. Owners wash in between.
//   - Iron remover, 105 days: every 3 to 4 months, by brake dust; electric
//     vehicles make less of it.
//   - Decon wash, 165 days: every 5 to 6 months, since traffic film builds up in
//     a porous film and hides repellency; 90 days while roads are salted, and
//     once when that is over.
//   - Checkup, 90 days: a life is known to no less than the time between two.
func DefaultCarePlan() CarePlan {
	return CarePlan{WashDays: 45, IronDays: 105, DeconDays: 165, SaltDeconDays: 90, CheckupDays: 90}
}

// Validate says what is wrong with p.
func (p CarePlan) Validate() Problems {
	var ps Problems
	for _, every := range []struct {
		column string
		days   int
	}{
		{"wash_days", p.WashDays}, {"iron_days", p.IronDays}, {"decon_days", p.DeconDays},
		{"salt_decon_days", p.SaltDeconDays}, {"checkup_days", p.CheckupDays},
	} {
		if every.days != 0 && (every.days < 7 || every.days > 1000) {
			ps.add(every.column, number(float64(every.days)), "expected 7 to 1000 days, or 0 for never")
		}
	}
	return ps
}
