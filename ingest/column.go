package ingest

import (
	"slices"

	"beadspan/study"
)

// Column describes one column of a log's tables.
type Column struct {
	Table    string
	Name     string
	Required bool
	Kind     Kind
	Meaning  string
	Unit     string   // empty: none
	Example  string   // as it may stand in a file
	Allowed  []string // the words that may stand there; nil: no fixed set
}

// Kind says what stands in a column.
type Kind string

// The kinds of column.
const (
	Text   Kind = "text"
	Word   Kind = "word"   // one of Allowed, in any case
	Number Kind = "number" // with a decimal point or a decimal comma
	Whole  Kind = "whole number"
	Date   Kind = "date"
	Twelve Kind = "twelve numbers" // January first, spaces between them
)

// Tables names the tables of a log in the order in which they are read. The
// last two, checkups and care, may be absent.
func Tables() []string {
	return []string{"coatings", "sites", "vehicles", "patches", "checkups", "care"}
}

// mayBeAbsent tells the tables that a log can do without.
func mayBeAbsent(table string) bool {
	return table == "checkups" || table == "care"
}

// Columns lists every column of every table. Reading and writing follow the
// same list, so that what it says is what happens.
func Columns() []Column {
	return slices.Concat(
		coatingTable().columns(),
		siteTable().columns(),
		vehicleTable().columns(),
		patchTable().columns(),
		readingTable(study.MostDrops).columns(),
		careTable().columns(),
	)
}
