package main

import (
	"fmt"

	"beadspan/study"
)

// claimFlags say when a maker's claim counts as supported.
type claimFlags struct {
	ClaimLowPct        float64 `default:"80" placeholder:"PCT" help:"Patches that must outlast the lower end of a maker's claim, in per cent: ${default}."`
	ClaimHighPct       float64 `default:"10" placeholder:"PCT" help:"Patches that must outlast its higher end: ${default}."`
	ClaimConfidencePct float64 `default:"95" placeholder:"PCT" help:"Confidence of the limits by which claims are judged: ${default}."`
}

func (f claimFlags) rule() study.ClaimRule {
	return study.ClaimRule{LowPct: f.ClaimLowPct, HighPct: f.ClaimHighPct, ConfidencePct: f.ClaimConfidencePct}
}

// claimWords says in a line when a claim is supported.
func claimWords(r study.ClaimRule) string {
	return fmt.Sprintf("%g %% must outlast the lower end and %g %% the higher, by %g %% limits", r.LowPct, r.HighPct, r.ConfidencePct)
}
