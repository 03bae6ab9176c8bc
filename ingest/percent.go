package ingest

import (
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// A workbook stores what it shows as 45% as 0.45. Read as it is stored, a wet
// share would be a hundred times too small, without a word.

// showPercents gives every style of the workbook that shows numbers as
// percentages the plainest format that does, since the library leaves some
// other ones out. It reports whether there is any such style.
func showPercents(book *excelize.File) (found bool) {
	const percent, percentWithDecimals = 9, 10 // built in: ISO/IEC 29500-1 §18.8.30, from memory
	if book.Styles == nil || book.Styles.CellXfs == nil {
		return false
	}
	own := map[int]bool{}
	if book.Styles.NumFmts != nil {
		for _, format := range book.Styles.NumFmts.NumFmt {
			if format != nil {
				own[format.NumFmtID] = isPercentage(format.FormatCode)
			}
		}
	}
	for i := range book.Styles.CellXfs.Xf {
		id := book.Styles.CellXfs.Xf[i].NumFmtID
		if id != nil && (*id == percent || *id == percentWithDecimals || own[*id]) {
			plain := percent
			book.Styles.CellXfs.Xf[i].NumFmtID = &plain
			found = true
		}
	}
	return found
}

var literals = regexp.MustCompile(`"[^"]*"|\\.`)

// isPercentage reports whether a number format multiplies by a hundred: a
// percent sign in quotation marks or behind a backslash is only a letter.
func isPercentage(format string) bool {
	return strings.Contains(literals.ReplaceAllString(format, ""), "%")
}

// percentages rewrites the cells that are shown with a percent sign.
func percentages(cells, shown []string) {
	for i := range min(len(cells), len(shown)) {
		if !strings.HasSuffix(shown[i], "%") || strings.HasSuffix(cells[i], "%") {
			continue
		}
		if share, err := strconv.ParseFloat(cells[i], 64); err == nil {
			// Fifteen digits, as spreadsheets keep: 0.07 times 100 is 7.
			cells[i] = strconv.FormatFloat(share*100, 'g', 15, 64) + "%"
		}
	}
}
