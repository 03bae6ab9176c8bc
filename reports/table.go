package reports

// Table is numbers in rows under headings. The first cell of a row names it.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

func (t *Table) add(cells ...string) { t.Rows = append(t.Rows, cells) }
