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
