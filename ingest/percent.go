package ingest

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// A workbook stores what it shows as 45% as 0.45. Read as it is stored, a wet
// share would be a hundred times too small, without a word.

// hasPercents reports whether any cell style of the workbook shows numbers as
// percentages.
func hasPercents(book *excelize.File) bool {
	if book.Styles == nil {
		return false
	}
	if book.Styles.CellXfs != nil {
		for _, style := range book.Styles.CellXfs.Xf {
			// The built-in formats 0% and 0.00%: ISO/IEC 29500-1 §18.8.30.
			if style.NumFmtID != nil && (*style.NumFmtID == 9 || *style.NumFmtID == 10) {
				return true
			}
		}
	}
	if book.Styles.NumFmts != nil {
		for _, format := range book.Styles.NumFmts.NumFmt {
			if strings.Contains(format.FormatCode, "%") {
				return true
			}
		}
	}
	return false
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
