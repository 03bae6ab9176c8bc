// Package ingest reads logs, the files in which shops hand over what they
// coated, read and did, into a [study.Fleet], and writes them.
//
// A log is a folder, a zip or one XLSX workbook that holds six tables: the
// coatings, the sites, the vehicles, their patches, the checkups (a row a
// reading) and the care. [Columns] lists what a table may hold; reading,
// writing and the printed documentation all follow it.
//
// A log is read whole or not at all: whatever is wrong with it is collected,
// each thing with its file, row and column, and handed back as
// [study.Problems]. Nothing is guessed: a date that two countries would read
// differently, or a number that may hold a thousands separator, is a problem.
// What is none but may not have been meant, as a heading that nobody knows, is
// told as a [Notice].
//
// Logs come from strangers. No input makes the package panic, and the sizes
// that it accepts are bounded, counted in bytes that were really there.
package ingest
