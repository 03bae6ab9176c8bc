package reports

import (
	"fmt"
	"strings"
)

// WhatWouldChange tells in plain words which other readings of the records would
// alter a conclusion: which of two coatings lasts longer, as far as limits show.
func (c *FleetComparison) WhatWouldChange() []string {
	changed, misled, silent := c.changes()
	others := -1 // without the comparison's own
	for _, r := range c.Readings {
		others += one(!r.Mistake)
	}
	if c.ratios() == 0 && len(changed) == 0 || others < 1 {
		return nil
	}
	var words []string
	say := func(format string, args ...any) { words = append(words, fmt.Sprintf(format, args...)) }
	switch n := len(c.Pairs) - len(changed); {
	case len(changed) > 0:
		say("Of %s, %s the same by all %d other readings of the records. What would change the others:",
			count(len(c.Pairs), "pair", "pairs"), count(n, "comes out", "come out"), others)
		words = append(words, atMost(changed)...)
	case len(c.Pairs) == 1:
		say("No other reading of the records would change what is said of the pair: %d were tried.", others)
	default:
		say("No other reading of the records would change what is said of any pair: %d were tried.", others)
	}
	if len(silent) > 0 {
		say("Nothing can be said with %s.", listed(silent))
	}
	if len(misled) > 0 {
		say("Mistakes would change what is said:")
		words = append(words, atMost(misled)...)
	}
	return words
}

// changes tells for each pair by which readings, and by which mistakes, its
// conclusion is another one, and which readings say nothing of some pairs.
func (c *FleetComparison) changes() (changed, misled, silent []string) {
	for i, pair := range c.Pairs {
		var by, byMistake []string
		for _, r := range c.Readings {
			switch read := r.Ratios[i]; {
			case !read.Change.alters():
			case r.Mistake:
				byMistake = append(byMistake, read.changeWords(r.What))
			default:
				by = append(by, read.changeWords(r.What))
			}
		}
		if len(by) > 0 {
			changed = append(changed, pair.String()+": "+strings.Join(by, "; ")+".")
		}
		if len(byMistake) > 0 {
			misled = append(misled, pair.String()+": "+strings.Join(byMistake, "; ")+".")
		}
	}
	for _, r := range c.Readings {
		n := 0
		for _, read := range r.Ratios {
			n += one(read.Change == NoLongerKnown)
		}
		if n > 0 {
			silent = append(silent, fmt.Sprintf("“%s” of %s", r.What, count(n, "pair", "pairs")))
		}
	}
	return changed, misled, silent
}

// changeWords tells how a reading alters a conclusion.
func (r ReadRatio) changeWords(what string) string {
	return fmt.Sprintf("%s with “%s”, %s", r.Change, what, r.Ratio)
}

// atMost keeps as many sentences as people read.
func atMost(sentences []string) []string {
	if n := len(sentences) - mostTold; n > 0 {
		return append(sentences[:mostTold:mostTold], fmt.Sprintf("And of %s more.", count(n, "pair", "pairs")))
	}
	return sentences
}

// ratios counts the pairs with a ratio.
func (c *FleetComparison) ratios() int {
	n := 0
	for _, p := range c.Pairs {
		n += one(p.Ratio != nil)
	}
	return n
}
