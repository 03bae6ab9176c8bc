package reports

import (
	"fmt"

	"beadspan/study"
)

// protocolWords says in plain words when a patch counts as spent.
func protocolWords(p study.Protocol) []string {
	words := []string{passWords(p)}
	words = append(words,
		"Traffic film hides repellency but never adds any. So a pass proves that a patch holds, however dirty it is, and a fail counts only after a decontamination wash.")
	switch {
	case p.Confirm > 1:
		words = append(words, fmt.Sprintf("It takes %d such fails in a row to make a patch spent; it was spent before the first of them.", p.Confirm))
	default:
		words = append(words, "One such fail makes a patch spent; it was spent before that.")
	}
	switch p.Estimand {
	case study.ToTopper:
		words = append(words, "The question is how long the bare coating lasts: a patch leaves at its last proof of holding before the first topper.")
	case study.AsMaintained:
		words = append(words, "The question is how long coating and usual care last together: toppers are part of the care.")
	}
	words = append(words,
		"A patch whose coating was removed or covered, or whose vehicle was sold or lost sight of, leaves at its last proof of holding: the figures tell of coatings left alone.",
		"Service begins when the keep-dry time after the last layer ends.")
	return append(words, claimRuleWords(p.Claim)...)
}

func passWords(p study.Protocol) string {
	t := fmt.Sprintf("%g", p.Threshold)
	switch p.Metric {
	case study.Angle:
		return "A patch passes while the mean contact angle of its drops is " + t + "° or more. Above 90° a surface is called hydrophobic (ASTM D7334)."
	case study.SheetTime:
		return "A patch passes while nine tenths of the panel is clear of water within " + t + " seconds."
	case study.WetShare:
		return "A patch passes while " + t + " % of the panel or less is still wet after a minute."
	case study.BeadGrade:
		return "A patch passes while its beading is of grade " + t + " or higher, on a scale from 1 (closed sheet) to 5 (round drops)."
	}
	return fmt.Sprintf("A patch is judged by its %s against %s %s.", p.Metric, t, p.Metric.Unit())
}

// methodWords says how the figures came about.
func (r *Report) methodWords() []string {
	o := r.Options
	return []string{
		"When a patch was spent is known only to lie between two checkups. The share that still holds is Turnbull’s estimate for such data; where it runs through a box, the checkups do not tell its course.",
		fmt.Sprintf("Limits are %s percentile limits from %d resamplings of whole vehicles, since patches of one vehicle share driver, garage and climate; where vehicles are few they are set further apart, as resamplings then differ too little; where they are 2,000 or more, each resampling draws from a bag of 500 of them. They are for one time alone, not for a whole curve at once.",
			confidence(o.Level), o.BootstrapReplicates),
		"Life by climate is pooled: half-lives of an accelerated failure time model with an effect for each coating in each climate, robust to vehicles, are drawn together by random effects of the climate and of the coating in it (restricted maximum likelihood, averaged over what these effects may be). A new climate is another draw of them.",
		fmt.Sprintf("No median is given below %d spent patches on %d vehicles, and nothing is said of times beyond the longest follow-up.", leastSpent, leastSpentVehicles),
		"A vehicle enrolled after its coating went into service counts only from its first reading that passed.",
		"Contact angles on clean panels fall along an exponential to a floor, θ(t) = θ∞ + (θ₀ − θ∞)·e^(−t/τ), each patch along its own: θ∞ and θ₀ differ from patch to patch, and τ from vehicle to vehicle and from patch to patch (a non-linear mixed model, by maximum likelihood with Laplace’s approximation). " +
			"The middle of the floors is the mean of the uncoated control panels or estimated, whichever has the lower AIC. Where a fall that is stretched in time, with (t/τ)^k in place of t/τ, has an AIC corrected for the number of vehicles (AICc) that is lower by more than 2, that is shown instead. The typical patch is in the middle. " +
			"Where patches can’t be told apart, one curve is fitted to all readings by least squares, with limits from the scatter between vehicles; where it crosses the threshold is not the median life of a patch.",
		"Life by curves is when patches’ curves come down to the threshold; it rests on the shape of the curve and says nothing of times after the last reading. Life by checkups rests on no shape" + confirmWords(r.Study.Protocol) + ". Where the two part, neither is known to be the right one.",
		"Panels are cleaned and read more often when they look bad, which may pull the mean curve down.",
	}
}

// confirmWords tell what confirming fails does to life by checkups.
func confirmWords(p study.Protocol) string {
	if p.Confirm < 2 {
		return ""
	}
	return ", but a reading that passes by chance counts as proof, while one that fails by chance must be confirmed, which makes it longer"
}

// cautions are shown with every report.
func cautions() []string {
	return []string{
		"A durability figure is an estimate from other vehicles. It is not a warranty, and it says nothing certain of one car. Advertising claims may need substantiation under local law.",
		"Repelling water is one property. Its loss does not prove that the coating is gone, and beading does not prove that it is there. Gloss, scratches and chemicals were not looked at.",
		"The coating maker’s instructions and safety data sheet, and local rules, come before anything on this page.",
		"Solvent-borne coatings and isopropanol: wear gloves, ventilate, keep ignition sources away.",
		"Acid and alkaline cleaners: protect eyes and skin, follow the label, keep to local waste-water rules.",
		"Wet floors and hoses: mind slipping and electric shock. Never test on a hot panel, in traffic, or on a vehicle that can roll.",
	}
}
