package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A section holds what it was given, in that order, and nothing of what is empty.
func TestSectionKeepsItsOrder(t *testing.T) {
	table := Table{Caption: "Counts", Head: []string{"What", "How many"}, Rows: [][]string{{"Patches", "3"}}}
	s := Section{Name: "flow", Heading: "Flow"}
	s.Say("First.", "", "Second.")
	s.Show(table, Table{Caption: "Nothing"})
	s.Head("Below")
	s.List()
	s.Note("Notes")
	s.Note("Notes", "Mind this.")
	s.Fold("Which ones", table)
	s.Explain("So it is read.", "")
	s.Draw(Plot{Name: "a"}, Plot{Name: "b"})
	assert.Equal(t, []Part{
		{Text: "First."}, {Text: "Second."}, {Table: &table}, {Heading: "Below"}, {Notes: []string{"Mind this."}, Folded: "Notes"},
		{Table: &table, Folded: "Which ones"}, {Small: "So it is read."}, {Plot: &Plot{Name: "a"}}, {Plot: &Plot{Name: "b"}},
	}, s.Parts)
}
