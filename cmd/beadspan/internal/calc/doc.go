// Package calc runs the statistics of stats on any CSV file of lives or of
// readings, without a database: for those who want to check them, and for
// scripts.
//
// Read takes a file and says which column means what; the result, a Data, goes
// to KaplanMeier, Turnbull, LogRank, ScoreTest, Cox or AFT if its rows are lives,
// and to Decay or Mixed if they are readings. Each returns a result that
// WriteJSON writes whole and whose WriteText prints what people read. Names of
// JSON fields are those of the reference cases in testdata/reference, which
// these results can be held against field by field.
//
// Time has whatever unit the file has.
package calc
