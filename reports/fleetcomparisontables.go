package reports

import (
	"fmt"
	"io"
	"strings"
)

// Table is the comparison for people, a row for each pair.
func (c *FleetComparison) Table() Table {
	t := Table{Caption: "How many times as long the first of two coatings lasts, and how many months longer",
		Head: []string{"Pair", "Times as long", "p", "Months longer", "Counted up to"}}
	for _, p := range c.Pairs {
		adjusted, up := "–", "–"
		if p.Ratio != nil {
			adjusted = pWords(p.Ratio.Adjusted)
		}
		if p.Lead != nil {
			up = fmt.Sprintf("%g months", p.Lead.HorizonMonths)
		}
		t.add(p.String(), p.Ratio.String(), adjusted, p.Lead.String(), up)
	}
	return t
}

// CountsTable tells what each pair rests on.
func (c *FleetComparison) CountsTable() Table {
	t := Table{Caption: "What each pair rests on",
		Head: []string{"Pair", "Vehicles with both", "with one", "Spent, first", "Spent, second", "Log-rank p"}}
	for _, p := range c.Pairs {
		t.add(p.String(), number(p.Both), number(p.Either), c.spentOf(p.A), c.spentOf(p.B), pWords(p.RankAdjusted))
	}
	return t
}

// mostPanels is how many pairs are told reading by reading; the rest is in the
// files.
const mostPanels = 6

// told are the pairs that are told reading by reading: all if they are few, or
// those of which a reading changes something.
func (c *FleetComparison) told() []int {
	var all, changed []int
	for i := range c.Pairs {
		all = append(all, i)
		for _, r := range c.Readings {
			if r.Ratios[i].Change.alters() && !r.Mistake {
				changed = append(changed, i)
				break
			}
		}
	}
	if len(all) <= mostPanels {
		return all
	}
	return changed[:min(len(changed), mostPanels)]
}

// ReadingTables tell the ratio of each pair by every reading of the records; of
// many pairs only those for which it makes a difference.
func (c *FleetComparison) ReadingTables() []Table {
	var tables []Table
	for _, i := range c.told() {
		t := Table{Caption: fmt.Sprintf("%s: times as long, read in other ways", c.Pairs[i]),
			Head: []string{"Reading of the records", "Patches spent", "Times as long", "Changes"}}
		for _, r := range c.Readings {
			t.add(r.name(), number(r.Ratios[i].Spent), r.Ratios[i].Ratio.String(), r.Ratios[i].Change.words())
		}
		tables = append(tables, t)
	}
	return tables
}

// name is what the reading is called, with a mark where it is wrong.
func (r Reading) name() string {
	if r.Mistake {
		return r.What + " (a mistake)"
	}
	return r.What
}

func (c Change) words() string {
	if c == Unchanged {
		return "nothing"
	}
	return string(c)
}

// missing says why pairs have no figure, reasons that several share once.
func (c *FleetComparison) missing() []string {
	var reasons []string
	about := map[string][]string{}
	add := func(p CoatingPair, what, why string) {
		if why == "" {
			return
		}
		reason := what + ": " + why + "."
		if about[reason] == nil {
			reasons = append(reasons, reason)
		}
		about[reason] = append(about[reason], p.String())
	}
	for _, p := range c.Pairs {
		add(p, "no ratio", p.RatioWhy)
		add(p, "no months", p.LeadWhy)
	}
	var notes []string
	for _, reason := range reasons {
		pairs := about[reason]
		if n := len(pairs) - mostTold; n > 0 {
			pairs = append(pairs[:mostTold:mostTold], fmt.Sprintf("%s more", number(n)))
		}
		notes = append(notes, strings.Join(pairs, "; ")+": "+reason)
	}
	return notes
}

// AllNotes lists why figures are missing, and what a reader must know.
func (c *FleetComparison) AllNotes() []string { return append(c.missing(), c.Notes...) }

// WriteText writes the comparison for a terminal.
func (c *FleetComparison) WriteText(w io.Writer) error {
	var b strings.Builder
	writeParagraph(&b, c.Sentence())
	if len(c.Pairs) > 0 {
		b.WriteString("\n" + c.Table().text() + "\n\n" + c.CountsTable().text() + "\n")
	}
	if words := c.WhatWouldChange(); len(words) > 0 {
		b.WriteString("\nWhat would change the conclusion\n")
		for _, sentence := range words {
			writeParagraph(&b, sentence)
		}
		for _, t := range c.ReadingTables() {
			b.WriteString("\n" + t.text() + "\n")
		}
	}
	b.WriteString("\n")
	for _, note := range c.AllNotes() {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write comparison as text: %w", err)
	}
	return nil
}
