package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/study"
)

// DueText says how a list of what is due is written for a terminal.
type DueText struct {
	// Width is how wide lines may be, in letters; below NarrowWidth what belongs
	// to a vehicle stands below it.
	Width int
	// Most is how many vehicles are listed; 0 for all.
	Most int
}

// NarrowWidth is the width from which on the list is a table.
const NarrowWidth = 72

// WriteText writes the list, the counts and the notes.
func (l *DueList) WriteText(w io.Writer, how DueText) error {
	rows := l.Rows
	if how.Most > 0 && len(rows) > how.Most {
		rows = rows[:how.Most]
	}
	var b strings.Builder
	switch {
	case len(rows) == 0:
		fmt.Fprintf(&b, "%s: nothing is due for any of %s.\n", l.when(), vehicles(l.Vehicles))
	case how.Width < NarrowWidth:
		l.writeNarrow(&b, rows, how.Width)
	default:
		l.writeTable(&b, rows, how.Width)
	}
	if rest := len(l.Rows) - len(rows); rest > 0 {
		fmt.Fprintf(&b, "\nand %s\n", count(rest, "more vehicle", "more vehicles"))
	}
	l.writeCounts(&b, how.Width)
	for _, note := range l.Notes {
		indented(&b, "* ", how.Width, note)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (l *DueList) when() string {
	if l.Horizon.Ahead > 0 {
		return fmt.Sprintf("From %s to %s", l.Horizon.On, l.Horizon.On+study.Day(l.Horizon.Ahead))
	}
	return "On " + l.Horizon.On.String()
}

func (l *DueList) writeTable(b *strings.Builder, rows []DueRow, width int) {
	t := NewTextTable()
	t.AppendHeader(table.Row{"Vehicle", "Since", "Due for", "Patches", "Why"})
	const code, doing, codes, day, gaps = 14, 22, 10, 10, 4 * 2
	t.SetColumnConfigs([]table.ColumnConfig{
		{Number: 1, WidthMax: code, WidthMaxEnforcer: text.WrapHard},
		{Number: 3, WidthMax: doing, WidthMaxEnforcer: text.WrapSoft},
		{Number: 4, WidthMax: codes, WidthMaxEnforcer: text.WrapSoft},
		{Number: 5, WidthMax: width - min(code, longestOf(rows)) - day - doing - codes - gaps, WidthMaxEnforcer: text.WrapSoft},
	})
	for _, row := range rows {
		name := row.Vehicle.Code
		for _, d := range row.Due {
			t.AppendRow(table.Row{name, d.Since.String(), Doing(d.Kind), strings.Join(d.Patches, " "), d.Why})
			name = ""
		}
		if words := row.checkupWords(); words != "" {
			t.AppendRow(table.Row{"", "", "", "", words})
		}
	}
	b.WriteString(t.Render() + "\n")
}

// longestOf is the length of the longest vehicle's code, or of the heading.
func longestOf(rows []DueRow) int {
	longest := len("Vehicle")
	for _, row := range rows {
		longest = max(longest, utf8.RuneCountInString(row.Vehicle.Code))
	}
	return longest
}

func (l *DueList) writeNarrow(b *strings.Builder, rows []DueRow, width int) {
	for _, row := range rows {
		fmt.Fprintf(b, "%s (%s)\n", row.Vehicle.Code, row.Site.Code)
		for _, d := range row.Due {
			indented(b, "  - ", width, fmt.Sprintf("%s %s, %s: %s", Doing(d.Kind), strings.Join(d.Patches, " "), sinceWords(d.Since, l.Horizon.On), d.Why))
		}
		if words := row.checkupWords(); words != "" {
			indented(b, "  - ", width, words)
		}
	}
}

// sinceWords says for how long something has been due.
func sinceWords(since, on study.Day) string {
	switch days := int(on - since); {
	case days == 0:
		return "due today"
	case days < 0:
		return fmt.Sprintf("due %s, in %s", since, count(-days, "day", "days"))
	default:
		return fmt.Sprintf("due since %s, %s", since, count(days, "day", "days"))
	}
}

// indented writes a paragraph whose further lines stand below its first word.
func indented(b *strings.Builder, mark string, width int, words string) {
	for _, line := range strings.Split(text.WrapSoft(words, max(16, width-len(mark))), "\n") {
		b.WriteString(mark + strings.TrimRight(line, " ") + "\n")
		mark = strings.Repeat(" ", len(mark))
	}
}

// words says when the next checkup should be; empty where one is asked for
// already and nothing more is known.
func (row DueRow) checkupWords() string {
	c := row.Checkup
	switch {
	case c.From != nil && *c.From == *c.Best:
		return fmt.Sprintf("a checkup tells most on %s", c.Best)
	case c.From != nil:
		return fmt.Sprintf("a checkup tells most on %s, nearly as much from %s", c.Best, c.From)
	case c.ByPlan == nil || c.Why == askedSooner || slices.ContainsFunc(row.Due, func(d study.Due) bool { return d.Kind == study.DueCheckup }):
		return ""
	}
	return fmt.Sprintf("next checkup by %s, the plain interval: %s", c.ByPlan, c.Why)
}

func (l *DueList) writeCounts(b *strings.Builder, width int) {
	if len(l.Rows) == 0 {
		return
	}
	b.WriteString("\n")
	indented(b, "", width, fmt.Sprintf("%s, %s of %s due:", l.when(), number(len(l.Rows)), vehicles(l.Vehicles)))
	for _, n := range l.Counts {
		indented(b, "  ", width, fmt.Sprintf("%s: %s, %s", Doing(n.Kind), vehicles(n.Vehicles), patches(n.Patches)))
	}
}
