package study

// Study is one question, answered under one protocol.
type Study struct {
	ID       ID
	Code     string
	Question string
	Protocol Protocol
	// CarePlan says how often vehicles are to be cared for and checked.
	CarePlan CarePlan
}

// Validate says what is wrong with s.
func (s Study) Validate() Problems {
	var ps Problems
	ps.code("code", s.Code)
	ps = append(ps, s.Protocol.Validate()...)
	return append(ps, s.CarePlan.Validate()...)
}

// Protocol decides what counts as spent, and when a maker's claim is supported.
type Protocol struct {
	Metric Metric
	// Threshold is in the metric's unit. A value on the threshold passes.
	Threshold float64
	// Confirm is how many conclusive fails in a row make a patch spent. The
	// failure lies before the first of them.
	Confirm  int
	Estimand Estimand
	// Claim judges makers' claims; no span depends on it.
	Claim ClaimRule
}

// Estimand says which life is asked about: what a topper does to it.
type Estimand string

// The estimands.
const (
	// ToTopper asks how long the bare coating lasts: a patch leaves at its
	// last proof of holding before the first topper.
	ToTopper Estimand = "to_topper"
	// AsMaintained asks how long coating and usual care last together:
	// toppers are part of the care.
	AsMaintained Estimand = "as_maintained"
)

// DefaultProtocol calls a patch spent when the mean contact angle on a
// decontaminated panel falls below 90° and stays so at the next conclusive
// reading. Above 90° a surface is called hydrophobic (ASTM D7334).
func DefaultProtocol() Protocol {
	return Protocol{Metric: Angle, Threshold: 90, Confirm: 2, Estimand: ToTopper, Claim: DefaultClaimRule()}
}

// Validate says what is wrong with p.
func (p Protocol) Validate() Problems {
	var ps Problems
	oneOf(&ps, "metric", p.Metric, Metrics())
	if rule, known := metricRules[p.Metric]; known {
		ps.within("threshold", &p.Threshold, rule.low, rule.high, rule.unit)
	}
	if p.Confirm < 1 || p.Confirm > 3 {
		ps.add("confirm", number(float64(p.Confirm)), "expected 1, 2 or 3 fails in a row")
	}
	oneOf(&ps, "estimand", p.Estimand, []Estimand{ToTopper, AsMaintained})
	return append(ps, p.Claim.Validate()...)
}

func (p Protocol) passes(value float64) bool {
	if p.Metric.HigherIsGood() {
		return value >= p.Threshold
	}
	return value <= p.Threshold
}
