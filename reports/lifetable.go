package reports

import "fmt"

// Table is the table of life for people.
func (l *Life) Table() Table {
	var by []string
	for _, b := range l.By {
		by = append(by, string(b))
	}
	t := Table{
		Caption: "Life by " + listed(by) + ", with " + confidence(l.Level) + " limits",
		Head: append(by, "vehicles", "spent of patches", "half spent by, months", "still hold at 12 months", "still hold at 24 months",
			"followed, months: half, longest"),
	}
	for _, row := range l.Rows {
		t.add(append(row.names(l.By), number(row.Vehicles), number(row.Spent)+" of "+number(row.Patches),
			row.Median.String(), row.At12.String(), row.At24.String(),
			fmt.Sprintf("%s, %s", months(row.HalfFollowedMonths), months(row.LongestMonths)))...)
	}
	return t
}
