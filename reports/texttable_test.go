package reports

import (
	"testing"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/stretchr/testify/assert"
)

// TestTextTable: columns line up below their headings, and no line ends in
// blanks.
func TestTextTable(t *testing.T) {
	w := NewTextTable()
	w.AppendHeader(table.Row{"Coating", "Note"})
	w.AppendRow(table.Row{"A", "short"})
	w.AppendRow(table.Row{"B", "much longer"})
	assert.Equal(t, "Coating  Note\n──────────────────────\nA        short\nB        much longer", w.Render())
}
