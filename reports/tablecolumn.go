package reports

import "regexp"

// tableColumn says how a column of a table is set: numbers stand to the right,
// so that their digits line up.
type tableColumn struct {
	Head    string
	Numbers bool
}

// columnsOf looks at what stands in the columns of a table. The first names the
// rows.
func columnsOf(t Table) []tableColumn {
	columns := make([]tableColumn, len(t.Head))
	for i, head := range t.Head {
		columns[i] = tableColumn{head, i > 0 && len(t.Rows) > 0}
		for _, row := range t.Rows {
			columns[i].Numbers = columns[i].Numbers && bareNumber.MatchString(row[i])
		}
	}
	return columns
}

// bareNumber is a number without words, such as "1,204", "−0.5", "12 of 40",
// "18.3, 24.0", "95 %" or the dash for none.
var bareNumber = regexp.MustCompile(`^(–|[<>+−-]? ?[\d.,]+( of [\d.,]+)?(, [\d.,]+)?( ?[%°])?)$`)
