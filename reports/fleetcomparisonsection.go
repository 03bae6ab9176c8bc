package reports

import "strings"

// Section is the comparison as a part of the study's report.
func (c *FleetComparison) Section() Section {
	s := Section{Name: "compared", Heading: "Coatings compared"}
	s.Say(c.Sentence())
	if len(c.Pairs) == 0 {
		return s
	}
	plots := c.Plots()
	s.Draw(plotsNamed(plots, ComparedRatios)...)
	s.Draw(plotsNamed(plots, ComparedMonths)...)
	s.Show(c.Table())
	s.Fold("What each pair rests on", c.CountsTable())
	s.Note("Notes on these figures", c.AllNotes()...)
	if words := c.WhatWouldChange(); len(words) > 0 {
		s.Head("What would change the conclusion")
		s.Say(words[0])
		s.List(words[1:]...)
		for _, p := range plots {
			if strings.HasPrefix(p.Name, ComparedReadings) {
				s.Draw(p)
			}
		}
	}
	return s
}
