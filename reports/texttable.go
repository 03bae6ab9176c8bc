package reports

import (
	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// NewTextTable returns an empty table in the style of all that the program
// prints in a terminal: a rule below the heading, and nothing else drawn.
func NewTextTable() table.Writer {
	style := table.StyleLight
	style.Options = table.Options{SeparateHeader: true}
	style.Box.PaddingLeft, style.Box.PaddingRight = "", "  "
	style.Format.Header = text.FormatDefault
	t := table.NewWriter()
	t.SetStyle(style)
	t.SuppressTrailingSpaces()
	return t
}

// text writes the table for a terminal.
func (t Table) text() string {
	w := NewTextTable()
	head := table.Row{}
	for _, cell := range t.Head {
		head = append(head, cell)
	}
	w.AppendHeader(head)
	w.SetColumnConfigs([]table.ColumnConfig{{Number: 1, WidthMax: 2 * longestCode, WidthMaxEnforcer: text.WrapSoft}})
	for _, row := range t.Rows {
		cells := table.Row{}
		for _, cell := range row {
			cells = append(cells, cell)
		}
		w.AppendRow(cells)
	}
	return t.Caption + "\n" + w.Render()
}
