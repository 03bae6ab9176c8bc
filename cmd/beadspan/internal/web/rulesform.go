package web

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"beadspan/study"
)

// rulesForm is a study's rules as filled in.
type rulesForm struct {
	Question                                       string
	Metric, Threshold, Confirm, Estimand           string
	ClaimLow, ClaimHigh, ClaimConfidence           string
	WashDays, IronDays, DeconDays, SaltDays, Every string
	Seen                                           string // fingerprint of the study that the form was made of
}

// formOf fills the form in with what the study says.
func formOf(st study.Study) rulesForm {
	p, plan := st.Protocol, st.CarePlan
	return rulesForm{
		Question: st.Question, Metric: string(p.Metric), Threshold: fmt.Sprint(p.Threshold), Confirm: fmt.Sprint(p.Confirm), Estimand: string(p.Estimand),
		ClaimLow: fmt.Sprint(p.Claim.LowPct), ClaimHigh: fmt.Sprint(p.Claim.HighPct), ClaimConfidence: fmt.Sprint(p.Claim.ConfidencePct),
		WashDays: fmt.Sprint(plan.WashDays), IronDays: fmt.Sprint(plan.IronDays), DeconDays: fmt.Sprint(plan.DeconDays),
		SaltDays: fmt.Sprint(plan.SaltDeconDays), Every: fmt.Sprint(plan.CheckupDays), Seen: fingerprint(st),
	}
}

func readRulesForm(form url.Values) rulesForm {
	get := func(name string) string { return strings.TrimSpace(form.Get(name)) }
	return rulesForm{
		get("question"), get("metric"), get("threshold"), get("confirm"), get("estimand"),
		get("claim_low_pct"), get("claim_high_pct"), get("claim_confidence_pct"),
		get("wash_days"), get("iron_days"), get("decon_days"), get("salt_decon_days"), get("checkup_days"), form.Get("seen"),
	}
}

// fingerprint tells whether a study still is what somebody was shown.
func fingerprint(st study.Study) string {
	return fmt.Sprint(st.Question, st.Protocol, st.CarePlan)
}

// over is the study with the form's rules, and all that is wrong with them.
func (f rulesForm) over(st study.Study) (study.Study, study.Problems) {
	var problems study.Problems
	st.Question = f.Question
	st.Protocol.Metric, st.Protocol.Estimand = study.Metric(f.Metric), study.Estimand(f.Estimand)
	claim := &st.Protocol.Claim
	for _, decimal := range []struct {
		column, text string
		into         *float64
	}{
		{"threshold", f.Threshold, &st.Protocol.Threshold}, {"claim_low_pct", f.ClaimLow, &claim.LowPct},
		{"claim_high_pct", f.ClaimHigh, &claim.HighPct}, {"claim_confidence_pct", f.ClaimConfidence, &claim.ConfidencePct},
	} {
		x, err := strconv.ParseFloat(strings.Replace(decimal.text, ",", ".", 1), 64)
		if err != nil {
			problems = append(problems, study.Problem{Column: decimal.column, Got: study.Shortened(decimal.text), Want: "expected a number"})
		}
		*decimal.into = x
	}
	for _, whole := range []struct {
		column, text string
		into         *int
	}{
		{"confirm", f.Confirm, &st.Protocol.Confirm},
		{"wash_days", f.WashDays, &st.CarePlan.WashDays}, {"iron_days", f.IronDays, &st.CarePlan.IronDays},
		{"decon_days", f.DeconDays, &st.CarePlan.DeconDays}, {"salt_decon_days", f.SaltDays, &st.CarePlan.SaltDeconDays},
		{"checkup_days", f.Every, &st.CarePlan.CheckupDays},
	} {
		n, err := strconv.Atoi(whole.text)
		if err != nil {
			problems = append(problems, study.Problem{Column: whole.column, Got: study.Shortened(whole.text), Want: "expected a whole number"})
		}
		*whole.into = n
	}
	if len(problems) > 0 {
		return st, problems
	}
	return st, st.Validate()
}
