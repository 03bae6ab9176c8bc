package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beadspan/study"
)

// claimRuleWords says in plain words when a maker's claim is supported.
func claimRuleWords(r study.ClaimRule) []string {
	return []string{
		fmt.Sprintf("A maker’s claim, “lasts 12 to 24 months”, is taken to promise that %g %% of patches or more outlast the lower number of months and %g %% or more the higher.", r.LowPct, r.HighPct),
		fmt.Sprintf("Each share has limits of %g %% confidence. The claim is supported where the lower limits of both come up to what is promised, contradicted where the upper limit of one falls short of it; in between nobody can tell yet.", r.ConfidencePct),
	}
}

// verdictWords says a verdict in words.
func verdictWords(v study.Verdict) string {
	if v == study.CannotTell {
		return "cannot tell yet"
	}
	return string(v)
}

// Claim says what is claimed: "12 to 24 months".
func (row ClaimRow) Claim() string {
	low, high := row.LowMonths, row.HighMonths
	switch {
	case high == nil:
		return fmt.Sprintf("%g months or more", *low)
	case low == nil || *low == 0:
		return fmt.Sprintf("up to %g months", *high)
	case *low == *high:
		return fmt.Sprintf("%g months", *low)
	}
	return fmt.Sprintf("%g to %g months", *low, *high)
}

// Finding is the verdict in a sentence.
func (row ClaimRow) Finding() string {
	if row.Verdict == study.CannotTell {
		return fmt.Sprintf("%s: nobody can tell yet whether the claim of %s holds.", row.Group, row.Claim())
	}
	return fmt.Sprintf("%s: the claim of %s is %s.", row.Group, row.Claim(), verdictWords(row.Verdict))
}

// Reasons are what the verdict rests on, a sentence or two for each end.
func (row ClaimRow) Reasons() []string {
	if row.Patches == 0 {
		return []string{"Nothing is known of the life of any of its patches yet."}
	}
	var reasons []string
	for _, end := range row.Ends {
		reasons = append(reasons, end.sentence())
	}
	return reasons
}

// sentence tells what is known at an end, and what the rule makes of it.
func (end ClaimEnd) sentence() string {
	asks := fmt.Sprintf("the claim takes %s", percent(end.Promised))
	var seen string
	switch end.Basis {
	case ByEstimate:
		seen = fmt.Sprintf("%s of patches (%s) outlast %g months", percent(end.Share.Share), end.limits(), end.Months)
	case ByCount:
		who := fmt.Sprintf("%s of %s", number(end.Held), vehicles(end.Counted))
		if end.Held == end.Counted {
			who = "all of " + vehicles(end.Held)
		}
		seen = fmt.Sprintf("%s held for %g months, so that %s or more of such vehicles do", who, end.Months, end.limit(end.Limits.Low)+" %")
	case ByLastSeen:
		seen = fmt.Sprintf("nobody was followed for %g months; after %s months no more than %s of patches held, and no more can later",
			end.Months, months(end.SeenMonths), end.limit(end.Limits.High)+" %")
	default:
		return capital(fmt.Sprintf("of %g months nothing is known yet; %s: %s.", end.Months, asks, verdictWords(end.Verdict)))
	}
	return capital(fmt.Sprintf("%s; %s: %s.", seen, asks, verdictWords(end.Verdict)))
}

// limits writes the limits of the share: "51–72 %".
func (end ClaimEnd) limits() string {
	return end.limit(end.Limits.Low) + "–" + end.limit(end.Limits.High) + " %"
}

// limit writes one of them, to a tenth where whole numbers would hide on which
// side of the promise it lies.
func (end ClaimEnd) limit(share float64) string {
	if whole := math.Round(100 * share); share != end.Promised && whole == math.Round(100*end.Promised) {
		return fmt.Sprintf("%.1f", 100*share)
	}
	return fmt.Sprintf("%.0f", 100*share)
}

// Outlook says how much more follow-up would decide; empty where the verdict is
// there.
func (row ClaimRow) Outlook() string {
	if row.Verdict != study.CannotTell {
		return ""
	}
	var words string
	switch near := slices.IndexFunc(row.Ends, func(end ClaimEnd) bool { return end.TooNear }); {
	case row.More != nil:
		words = fmt.Sprintf("About %s more, each followed for %g months or until spent, would probably decide: %s vehicle-months at most.",
			vehicles(row.More.Vehicles), row.More.Months, number(int(row.More.VehicleMonths)))
	case near >= 0:
		words = fmt.Sprintf("The share that outlasts %g months lies too near to what the claim takes: no follow-up that one could wait for would decide.", row.Ends[near].Months)
	default:
		words = "How much more follow-up would decide can’t be said before some vehicles have come so far."
	}
	if end, waits := row.longestWait(); waits {
		words += fmt.Sprintf(" Of the study’s own vehicles %s hold and aren’t at %g months yet; following them on, %s vehicle-months in all, counts towards it.",
			number(end.Waiting), end.Months, number(int(end.WaitingMonths+0.5)))
	}
	return words
}

// longestWait is the last end that can't be told of yet and for which vehicles
// are on their way.
func (row ClaimRow) longestWait() (end ClaimEnd, waits bool) {
	for _, e := range row.Ends {
		if e.Verdict == study.CannotTell && e.Waiting > 0 {
			end, waits = e, true
		}
	}
	return end, waits
}

// SecondOpinion says what a Weibull curve would make of the ends; empty where
// there is none.
func (row ClaimRow) SecondOpinion() string {
	var shares []string
	differs := false
	for _, end := range row.Ends {
		if end.Weibull == nil || end.Weibull.Limits == nil {
			continue
		}
		verdict := study.JudgeShare(end.Weibull.Limits.Low, end.Weibull.Limits.High, end.Promised)
		differs = differs || verdict != end.Verdict
		shares = append(shares, fmt.Sprintf("%s at %g months (%s)", end.Weibull, end.Months, verdictWords(verdict)))
	}
	if len(shares) == 0 {
		return ""
	}
	words := "A Weibull curve through the same lives puts the share at " + listed(shares)
	if differs {
		return words + ". Its verdicts differ, and it rests on the shape of the curve: the verdict above doesn’t go by it."
	}
	return words + ", and comes to the same. The verdict doesn’t go by it."
}

// ClimateSentence tells the verdicts in each climate; empty where there is only
// one.
func (row ClaimRow) ClimateSentence() string {
	if len(row.ByClimate) < 2 {
		return ""
	}
	by := map[study.Verdict][]string{}
	for _, detail := range row.ByClimate {
		by[detail.Verdict] = append(by[detail.Verdict], detail.Climate)
	}
	var parts []string
	for _, verdict := range study.Verdicts() {
		if climates := by[verdict]; len(climates) > 0 {
			parts = append(parts, fmt.Sprintf("%s in %s", verdictWords(verdict), listed(climates)))
		}
	}
	return "Climate by climate: " + strings.Join(parts, "; ") + "."
}

// note adds what a reader of any row must know.
func (c *Claims) note() {
	if len(c.Rows) == 0 {
		c.Notes = []string{"No maker’s claim is recorded for any coating: give claim_low_months and claim_high_months in coatings.csv."}
		return
	}
	level := c.Rule.ConfidencePct / 100
	details := 0
	for _, row := range c.Rows {
		details += len(row.ByClimate)
	}
	c.Notes = append(claimRuleWords(c.Rule),
		"A verdict holds for vehicles and climates such as those of the study. It is about how long water was repelled, an estimate, not a warranty. Advertising claims need substantiation under local law, for which this alone may not do.",
		fmt.Sprintf("Limits are two-sided %s limits of Turnbull’s estimate from %d bootstrap replicates over vehicles, seed %d. Where fewer than %d vehicles were spent, or held, they are no narrower than exact limits of a count of vehicles; where too few were spent for an estimate, a claim can be supported by such a count alone.",
			confidence(level), c.Replicates, c.Seed, fewDeciding),
		fmt.Sprintf("Where exactly as many outlast an end as the claim takes, one in %.0f studies would support it wrongly at most, and as many contradict it. That is for one coating: of the %s judged here each has that chance.",
			1/(1-level), count(len(c.Rows), "coating", "coatings")))
	if details > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("The verdict on a coating is the one for all climates of the study together, in the mix that it has. Those by climate are details, %d of them: by chance alone some will differ.", details))
	}
	if slices.ContainsFunc(c.Rows, func(row ClaimRow) bool { return row.More != nil }) {
		c.Notes = append(c.Notes, fmt.Sprintf("How much more would decide is rough, good to a factor of two or so: so much that the share is decided with a chance of %s, either way, by what is known of it now. More vehicles are taken to tell as much each as the present ones, and numbers are rounded up.", percent(likelyDecided)))
	}
}
