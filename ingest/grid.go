package ingest

// grid is a table as cells: the rows of a CSV file or of a workbook's sheet.
type grid interface {
	// walk hands each row with its number to visit, until visit says false.
	// The cells are good until visit returns. Rows that cannot be read are
	// told to broken.
	walk(visit func(row int, cells []string) bool, broken func(refusal))
	// done is the share that has been walked, from 0 to 1.
	done() float64
}
