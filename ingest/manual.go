package ingest

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"beadspan/study"
)

// WriteColumns writes the list of columns for people to read.
func WriteColumns(w io.Writer) error {
	text := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	byTable := map[string][]Column{}
	for _, c := range Columns() {
		byTable[c.Table] = append(byTable[c.Table], c)
	}
	fmt.Fprint(text, "A log is a folder or zip of CSV files, or one XLSX workbook with a sheet a table.\n"+
		"Columns with * have to be filled in; extra columns are kept as notes.\n")
	for _, table := range Tables() {
		fmt.Fprintf(text, "\n%s%s\n", table, optional(table))
		for _, c := range together(byTable[table]) {
			fmt.Fprintf(text, "  %s\t%s\t%s\t%s\n", c.Name+star(c), unitOrKind(c), c.Example, c.Meaning)
			if len(c.Allowed) > 0 {
				fmt.Fprintf(text, "  \t\t\t%s\n", strings.Join(c.Allowed, " "))
			}
		}
	}
	return text.Flush()
}

func optional(table string) string {
	if mayBeAbsent(table) {
		return " (may be absent)"
	}
	return ""
}

func star(c Column) string {
	if c.Required {
		return "*"
	}
	return ""
}

func unitOrKind(c Column) string {
	if c.Unit != "" && c.Kind == Number {
		return c.Unit
	}
	if c.Unit != "" {
		return string(c.Kind) + ", " + c.Unit
	}
	return string(c.Kind)
}

// together tells of the columns for the drops' angles in one line.
func together(columns []Column) []Column {
	var list []Column
	for _, c := range columns {
		switch c.Name {
		case study.AngleColumn(0):
			c.Name += " … " + study.AngleColumn(study.MostDrops-1)
			c.Meaning = "water contact angle of each drop"
		default:
			if strings.HasPrefix(c.Name, "angle_") {
				continue
			}
		}
		list = append(list, c)
	}
	return list
}
