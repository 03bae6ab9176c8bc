package study

// ClaimRule says when a maker's claim, "lasts 12 to 24 months", counts as
// supported or contradicted: what it promises, and how sure one must be.
//
// Taken word for word such a claim promises nothing: a single patch that lasts
// 12 months and another that lasts 24 would do. So the rule says how many have
// to. A claim is supported where LowPct of patches outlast the lower number of
// months and HighPct the higher, both with confidence; it is contradicted where
// either is too few, with confidence; and else nobody can tell yet.
type ClaimRule struct {
	LowPct  float64 // of patches that must outlast the lower end
	HighPct float64 // of patches that must outlast the higher end
	// ConfidencePct is that of the two-sided limits by which shares are judged.
	ConfidencePct float64
}

// DefaultClaimRule asks that 4 in 5 patches outlast the lower end, 1 in 10 the
// higher, by limits of 95 %.
//
// House rules: judgement, no source. The lower end is what a customer counts
// on, so that a patch which doesn't come to it is the exception. The higher end
// is an "up to", of which one in ten is what codes of advertising practice have
// asked for (from memory). 95 % is custom.
func DefaultClaimRule() ClaimRule {
	return ClaimRule{LowPct: 80, HighPct: 10, ConfidencePct: 95}
}

// Validate says what is wrong with r.
func (r ClaimRule) Validate() Problems {
	var ps Problems
	ps.within("claim_low_pct", &r.LowPct, 1, 99, "%")
	ps.within("claim_high_pct", &r.HighPct, 1, 99, "%")
	ps.within("claim_confidence_pct", &r.ConfidencePct, 80, 99, "%")
	if len(ps) == 0 && r.HighPct > r.LowPct {
		ps.add("claim_high_pct", number(r.HighPct), "expected no more than claim_low_pct: fewer outlast the higher end than the lower")
	}
	return ps
}

// Claimed reports whether a maker claims anything of c that could be judged: a
// life of more than 0 months.
func (c Coating) Claimed() bool {
	return c.ClaimHighMonths != nil && *c.ClaimHighMonths > 0 || c.ClaimLowMonths != nil && *c.ClaimLowMonths > 0
}
