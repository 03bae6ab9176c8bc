package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// longestCode is how much of a coating's code stands on one line.
const longestCode = 16

// textWidth is what a line of terminal text keeps within.
const textWidth = 79

// WriteText writes the table for a terminal: about 80 columns wide, 100 where
// codes are long. Below it stand the comparisons and the notes.
func (l *Life) WriteText(w io.Writer) error {
	var b strings.Builder
	if len(l.Rows) > 0 {
		b.WriteString(l.textTable())
		b.WriteString("\n\n")
		writeNote(&b, "Half spent by: months in service. Seen: months of the longest follow-up. In brackets: limits.")
	}
	for _, c := range l.Comparisons {
		writeNote(&b, c.Sentence())
	}
	for _, note := range l.gatheredNotes() {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write life as text: %w", err)
	}
	return nil
}

func (l *Life) textTable() string {
	t := NewTextTable()
	head := table.Row{}
	var columns []table.ColumnConfig
	column := func(title string, align text.Align) {
		head = append(head, title)
		columns = append(columns, table.ColumnConfig{Number: len(head), Align: align, AlignHeader: align})
	}
	if slices.Contains(l.By, ByCoating) {
		column("Coating", text.AlignLeft)
		columns[0].WidthMax, columns[0].WidthMaxEnforcer = longestCode, text.WrapHard
	}
	if slices.Contains(l.By, ByClimate) {
		column("Climate", text.AlignLeft)
	}
	column("Vehicles", text.AlignRight)
	column("Spent", text.AlignRight)
	column("Half spent by", text.AlignLeft)
	column("% hold 12 mo", text.AlignLeft)
	column("% hold 24 mo", text.AlignLeft)
	column("Seen", text.AlignRight)
	t.SetColumnConfigs(columns)
	t.AppendHeader(head)
	for _, row := range l.Rows {
		t.AppendRow(l.textRow(row))
	}
	return t.Render()
}

func (l *Life) textRow(row LifeRow) table.Row {
	var cells table.Row
	for _, name := range row.names(l.By) {
		cells = append(cells, name)
	}
	return append(cells,
		row.Vehicles,
		fmt.Sprintf("%d/%d", row.Spent, row.Patches),
		row.Median.String(),
		bare(row.At12.String()),
		bare(row.At24.String()),
		months(row.LongestMonths))
}

// String writes a median with its limits: "14.2 (11.9–16.8)", "not reached
// (19.2 or more)"; "–" when there is none.
func (m *Median) String() string {
	switch {
	case m == nil:
		return "–"
	case m.Limits == nil:
		return months(m.Months)
	}
	return months(m.Months) + " (" + monthLimits(*m.Limits) + ")"
}

// String writes a share with its limits: "62 % (51–72 %)"; "–" when there is
// none.
func (s *Share) String() string {
	switch {
	case s == nil:
		return "–"
	case s.Limits == nil:
		return percent(s.Share)
	}
	return percent(s.Share) + " (" + percentLimits(*s.Limits) + ")"
}

// gatheredNotes lists the notes of the rows, each once with the groups that it
// is about, and then the notes of the table.
func (l *Life) gatheredNotes() []string {
	var order []string
	about := map[string][]string{}
	for _, row := range l.Rows {
		for _, note := range row.Notes {
			if about[note] == nil {
				order = append(order, note)
			}
			about[note] = append(about[note], row.Group.String())
		}
	}
	var notes []string
	for _, note := range order {
		if len(about[note]) == len(l.Rows) && len(l.Rows) > 1 {
			notes = append(notes, "All: "+note)
		} else {
			notes = append(notes, strings.Join(about[note], "; ")+": "+note)
		}
	}
	return append(notes, l.Notes...)
}

func writeNote(b *strings.Builder, note string) {
	for i, line := range strings.Split(text.WrapSoft(note, textWidth-2), "\n") {
		b.WriteString([]string{"* ", "  "}[min(i, 1)])
		b.WriteString(strings.TrimSpace(line))
		b.WriteString("\n")
	}
}
