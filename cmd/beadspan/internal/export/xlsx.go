package export

import (
	"archive/zip"
	"context"
	"fmt"

	"github.com/xuri/excelize/v2"

	"beadspan/ingest"
	"beadspan/study"
)

// writeXLSX writes one workbook with a sheet for each table. A table with more
// rows than a sheet holds is an error.
func writeXLSX(ctx context.Context, out *zip.Writer, tables []table) error {
	book := excelize.NewFile()
	defer book.Close()
	date, err := book.NewStyle(&excelize.Style{CustomNumFmt: new("yyyy-mm-dd")})
	if err != nil {
		return err
	}
	heading, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	for i, t := range tables {
		if i == 0 {
			err = book.SetSheetName(book.GetSheetName(0), t.name)
		} else {
			_, err = book.NewSheet(t.name)
		}
		if err == nil {
			err = t.writeSheet(ctx, book, sheetStyles{date, heading})
		}
		if err != nil {
			return fmt.Errorf("sheet %s: %w", t.name, err)
		}
	}
	member, err := out.Create("records.xlsx")
	if err != nil {
		return err
	}
	return book.Write(member)
}

type sheetStyles struct{ date, heading int }

func (t table) writeSheet(ctx context.Context, book *excelize.File, styles sheetStyles) error {
	sheet, err := book.NewStreamWriter(t.name)
	if err != nil {
		return err
	}
	if err := sheet.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	row := make([]any, len(t.columns))
	for i, c := range t.columns {
		row[i] = excelize.Cell{StyleID: styles.heading, Value: c.Name}
	}
	if err := sheet.SetRow("A1", row); err != nil {
		return err
	}
	n := 1
	err = t.each(ctx, func(cells []any) error {
		if n++; n > ingest.MaxRows {
			return fmt.Errorf("it has more than the %d rows of a sheet: export it in another format", ingest.MaxRows)
		}
		for i, cell := range cells {
			if day, is := cell.(study.Day); is {
				cell = excelize.Cell{StyleID: styles.date, Value: day.Time()}
			}
			row[i] = cell
		}
		return sheet.SetRow(fmt.Sprintf("A%d", n), row)
	})
	if err != nil {
		return err
	}
	return sheet.Flush()
}
