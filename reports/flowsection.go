package reports

import (
	"fmt"
	"strings"

	"beadspan/study"
)

// section tells where the vehicles and patches went.
func (f *Flow) section(metric study.Metric) Section {
	s := Section{Name: "flow", Heading: "Where the vehicles and patches went"}
	s.Draw(f.plot())
	s.Show(f.Vehicles.table(), f.readTable(), f.countedTable(), f.outcomeTable())
	s.Explain(fmt.Sprintf("A patch is read on a day when its %s was measured. Every row adds up: the coated patches are those of the columns after them, and so are those that count. "+
		"A vehicle is named by the first row that fits it.", metricWords(metric)))
	return s
}

func metricWords(m study.Metric) string { return strings.ReplaceAll(string(m), "_", " ") }

func (v VehicleFlow) table() Table {
	t := Table{Caption: "Vehicles, from enrolment to the figures", Head: []string{"Vehicles", "How many"}}
	t.add("Enrolled", number(v.Enrolled))
	t.add("of these: no coated patch", number(v.Uncoated))
	t.add("of these: coated, never read", number(v.NeverRead))
	t.add("of these: read, but nothing known of any life", number(v.NothingKnown))
	t.add("of these: counted", number(v.Counted))
	t.add("of the counted: with a spent patch", number(v.WithSpent))
	t.add("of the counted: none spent, still followed", number(v.Followed))
	t.add("of the counted: none spent, all patches have left", number(v.Ended))
	return t
}

// rows writes a row for each coating, and one for all.
func (f *Flow) rows(t *Table, cells func(PatchFlow) []int) {
	write := func(name string, p PatchFlow) {
		row := []string{name}
		for _, n := range cells(p) {
			row = append(row, number(n))
		}
		t.add(row...)
	}
	for _, p := range f.Coatings {
		write(p.Coating, p)
	}
	if len(f.Coatings) != 1 {
		write("All", f.Patches)
	}
}

func (f *Flow) readTable() Table {
	t := Table{Caption: "How often coated patches were read before they left", Head: []string{"Coating", "Coated", "Never", "On one day", "On more days"}}
	f.rows(&t, func(p PatchFlow) []int { return []int{p.Coated, p.NeverRead, p.ReadOnce, p.ReadMore} })
	return t
}

func (f *Flow) countedTable() Table {
	t := Table{Caption: "Which coated patches count, and why others are left out",
		Head: []string{"Coating", "Coated", "Never read", "Read only after they left", "Never conclusively read", "Enrolled late, never seen holding", "Counted"}}
	f.rows(&t, func(p PatchFlow) []int {
		return []int{p.Coated, p.Unread, p.ReadTooLate, p.Inconclusive, p.NeverHeld, p.Counted}
	})
	return t
}

func (f *Flow) outcomeTable() Table {
	t := Table{Caption: "What became of the patches that count",
		Head: []string{"Coating", "Counted", "Spent", "Left at a topper", "Left by other care", "Followed, doubtful", "Followed, holding"}}
	f.rows(&t, func(p PatchFlow) []int { return []int{p.Counted, p.Spent, p.Topped, p.Ended, p.Doubtful, p.Holding} })
	return t
}

// plot draws the flow.
func (f *Flow) plot() Plot {
	p, v := f.Patches, f.Vehicles
	leaves := func(n int, what string, reasons ...string) string {
		if n == 0 {
			return ""
		}
		return what + ": " + strings.Join(reasons, "; ")
	}
	var why []string
	for _, reason := range []struct {
		n     int
		words string
	}{{p.Unread, "never read"}, {p.ReadTooLate, "read only after they had left"}, {p.Inconclusive, "never conclusively read"},
		{p.NeverHeld, "enrolled late, never seen holding"}} {
		if reason.n > 0 {
			why = append(why, number(reason.n)+" "+reason.words)
		}
	}
	table := Table{Caption: "From enrolment to the figures", Head: []string{"Step", "Vehicles", "Patches"}}
	table.add("Enrolled", number(v.Enrolled), number(f.Controls+p.Coated))
	table.add("Uncoated", number(v.Uncoated), number(f.Controls))
	table.add("Left out", number(v.NeverRead+v.NothingKnown), number(p.LeftOut()))
	table.add("Counted", number(v.Counted), number(p.Counted))
	return Plot{
		Name:  "flow",
		Title: fmt.Sprintf("%s of %s coated %s count; %s.", number(p.Counted), number(p.Coated), plural(p.Coated, "patch", "patches"), spentWords(p.Spent)),
		Description: "Boxes from enrolment down to what became of the patches, joined by arrows; beside them what is left out on the way, and why. " +
			"The tables give the same numbers.",
		Table: table,
		picture: flowPicture{
			steps: []flowStep{
				{vehicles(v.Enrolled) + " enrolled, with " + patches(f.Controls+p.Coated),
					leaves(f.Controls, patches(f.Controls)+" uncoated", "controls have no life to lose")},
				{patches(p.Coated) + " coated, on " + vehicles(v.Enrolled-v.Uncoated), leaves(p.LeftOut(), patches(p.LeftOut())+" left out", why...)},
				{patches(p.Counted) + " counted, on " + vehicles(v.Counted), ""},
			},
			outcomes: []string{
				number(p.Spent) + " spent",
				fmt.Sprintf("%s left before they were seen spent: %s at a topper, %s by other care", number(p.Topped+p.Ended), number(p.Topped), number(p.Ended)),
				fmt.Sprintf("%s still followed: %s held when last read, %s doubtful", number(p.Followed()), number(p.Holding), number(p.Doubtful)),
			},
		},
	}
}

func spentWords(n int) string {
	if n == 0 {
		return "none of them is spent"
	}
	return number(n) + " of them " + plural(n, "is", "are") + " spent"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
