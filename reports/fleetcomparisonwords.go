package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// mostTold is how many pairs a sentence names; a reader loses count of more.
const mostTold = 6

// Sentence tells in plain words which coatings are shown to last longer.
func (c *FleetComparison) Sentence() string {
	if len(c.Pairs) == 0 {
		return "There are no two coatings to compare."
	}
	var shown []string
	known := 0
	for _, p := range c.Pairs {
		known += one(p.Ratio != nil)
		if p.Ratio.Shown(c.Level) {
			shown = append(shown, p.words())
		}
	}
	pairs := count(len(c.Pairs), "pair of coatings", "pairs of coatings")
	switch {
	case known == 0:
		return fmt.Sprintf("Of %s, for none it can be told yet how many times as long the one lasts; the notes say what is missing.", pairs) + c.ranksWords()
	case len(shown) == 0:
		return fmt.Sprintf("Of %s, %s. That does not show that they are alike: the limits say how much they may differ.",
			pairs, count(known, "could be compared, and is not shown to differ", "could be compared, and none is shown to differ")) + c.ranksWords()
	}
	more, andMore := len(shown)-mostTold, ""
	if more > 0 {
		shown, andMore = shown[:mostTold], fmt.Sprintf("; and %s more", number(more))
	}
	return fmt.Sprintf("%s, %s%s.", c.alike(), strings.Join(shown, "; "), andMore) + c.othersWords(len(shown)+max(more, 0), known) + c.ranksWords()
}

// alike says what is held alike in all models.
func (c *FleetComparison) alike() string {
	held := map[string]bool{"climate": true, "orientation": true}
	for _, m := range c.Models {
		for name := range held {
			held[name] = held[name] && slices.Contains(m.Held, name)
		}
	}
	switch {
	case held["climate"] && held["orientation"]:
		return "In the same climate and on panels that face the same way"
	case held["climate"]:
		return "In the same climate"
	}
	return "As far as these records show"
}

// othersWords tells of the pairs that are not shown to differ.
func (c *FleetComparison) othersWords(shown, known int) string {
	var words string
	if n := known - shown; n > 0 {
		words = fmt.Sprintf(" %s not shown to differ.", count(n, "pair is", "pairs are"))
	}
	if n := len(c.Pairs) - known; n > 0 {
		words += fmt.Sprintf(" %s be compared yet.", count(n, "pair can’t", "pairs can’t"))
	}
	return words
}

// ranksWords tells of the pairs without a ratio that the log-rank test shows to
// differ, with the counts that it rests on: of pairs that are on the same
// vehicles alone, where it can't be the climate that makes the difference.
func (c *FleetComparison) ranksWords() string {
	var told []string
	for _, p := range c.Pairs {
		if p.Ratio != nil || p.RankLonger == "" || p.Either > 0 {
			continue
		}
		other := p.A
		if p.RankLonger == p.A {
			other = p.B
		}
		told = append(told, fmt.Sprintf("%s lasts longer than %s (log-rank %s; %s against %s patches spent), by how much can’t be told",
			p.RankLonger, other, pSaid(p.RankAdjusted), c.spentOf(p.RankLonger), c.spentOf(other)))
	}
	if len(told) == 0 {
		return ""
	}
	if n := len(told) - mostTold; n > 0 {
		told = append(told[:mostTold:mostTold], fmt.Sprintf("and so with %s", count(n, "pair more", "pairs more")))
	}
	return " " + strings.Join(told, "; ") + "."
}

// spentOf counts a coating's spent patches: "8 of 20".
func (c *FleetComparison) spentOf(code string) string {
	for _, coating := range c.Coatings {
		if coating.Code == code {
			return number(coating.Spent) + " of " + number(coating.Patches)
		}
	}
	return "none"
}

// words tells of a pair with a ratio; the one that lasts longer comes first.
func (p CoatingPair) words() string {
	a, b, ratio, limits := p.A, p.B, p.Ratio.Ratio, p.Ratio.Limits
	if ratio < 1 {
		a, b, ratio, limits = b, a, 1/ratio, Limits{1 / limits.High, 1 / limits.Low}
	}
	return fmt.Sprintf("%s lasts %s times as long as %s (%s)", a, times(ratio), b, timesLimits(limits))
}

// String names the pair.
func (p CoatingPair) String() string { return p.A + " and " + p.B }

func timesLimits(l Limits) string { return times(l.Low) + "–" + times(l.High) }

// String writes a ratio with its limits: "1.94 (1.80–2.09)"; "–" for none.
func (r *RatioOfLives) String() string {
	if r == nil {
		return "–"
	}
	return times(r.Ratio) + " (" + timesLimits(r.Limits) + ")"
}

// String writes a lead with its limits: "6.1 (5.2 to 7.0)"; "–" for none.
func (l *MeanLead) String() string {
	if l == nil {
		return "–"
	}
	return signed(l.Months) + " (" + signed(l.Limits.Low) + " to " + signed(l.Limits.High) + ")"
}

// signed writes months to a tenth, with a minus sign that is as wide as a digit.
func signed(m float64) string {
	words := fmt.Sprintf("%.1f", math.Abs(m))
	if m < 0 && words != "0.0" {
		return "−" + words
	}
	return words
}

// note adds what a reader of any pair must know.
func (c *FleetComparison) note() {
	say := func(format string, args ...any) { c.Notes = append(c.Notes, fmt.Sprintf(format, args...)) }
	if len(c.Pairs) == 0 {
		return
	}
	for _, m := range c.Models {
		held := "nothing else held alike"
		if len(m.Held) > 0 {
			held = listed(m.Held) + " held alike"
		}
		say("Ratios of %s are of a %s model of %s on %s, %s spent, %s, with limits robust to vehicles.",
			listed(m.Coatings), lawWords(m.Law), patches(m.Patches), vehicles(m.Vehicles), number(m.Spent), held)
	}
	ratios, leads := 0, 0
	for _, p := range c.Pairs {
		ratios += one(p.Ratio != nil)
		leads += one(p.Lead != nil)
	}
	if ratios > 0 {
		say("Limits are %s limits and hold for one pair alone. p is adjusted by Holm’s method for %s; not shown to differ does not show that two are alike.",
			confidence(c.Level), count(ratios, "pair", "pairs together"))
		say("Whether another reading of the records changes what is said of a pair goes by its limits alone: by whether they lie above 1, below it, or on both sides.")
		say("The log-rank test needs no model: it deals the names of the two coatings to whole vehicles, or within a vehicle that carries both, at random. Its p is adjusted in the same way. Between vehicles it doesn’t hold climates alike.")
	}
	if leads > 0 {
		say("Months longer are the difference of mean lives, each counted up to the months named, over the climates and ways of facing where both coatings are, in the same mix; limits are from %d resamplings of whole vehicles, seed %d. Two that share vehicles are compared within these.", c.Replicates, c.Seed)
	}
	say("Nobody dealt coatings to vehicles at random unless the study’s plan says so: what else differs between the vehicles of two coatings may show here as well. A figure is an estimate from these vehicles, not a warranty.")
}
