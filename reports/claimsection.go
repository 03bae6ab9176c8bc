package reports

import "fmt"

// Section is the claims as a part of the study's report.
func (c *Claims) Section() Section {
	s := Section{Name: "claims", Heading: "What makers claim"}
	if len(c.Rows) == 0 {
		s.Say(c.Notes...)
		return s
	}
	s.Show(c.Table())
	plots := c.Plots()
	for _, row := range c.Rows {
		s.Head(fmt.Sprintf("%s, claimed to last %s", row.Coating, row.Claim()))
		s.Say(row.Finding())
		s.List(row.words()...)
		s.Draw(plotsNamed(plots, row.PlotName())...)
	}
	s.Fold("The claims climate by climate", c.ClimateTable())
	s.Note("Notes on claims", c.Notes...)
	return s
}
