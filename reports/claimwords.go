package reports

import (
	"fmt"

	"beadspan/study"
)

// claimRuleWords says in plain words when a maker's claim is supported.
func claimRuleWords(r study.ClaimRule) []string {
	return []string{
		fmt.Sprintf("A maker’s claim, “lasts 12 to 24 months”, is taken to promise that %g %% of patches or more outlast the lower number of months and %g %% or more the higher.", r.LowPct, r.HighPct),
		fmt.Sprintf("Each share has limits of %g %% confidence. The claim is supported where the lower limits of both come up to what is promised, contradicted where the upper limit of one falls short of it; in between nobody can tell yet.", r.ConfidencePct),
	}
}
