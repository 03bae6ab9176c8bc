package ingest

import (
	"archive/zip"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"
)

// isWorkbook tells a workbook from a zip of CSV files by the list of parts
// that every Office Open XML package has (ISO/IEC 29500-2).
func isWorkbook(archive *zip.Reader) bool {
	for _, member := range archive.File {
		if strings.EqualFold(member.Name, "[Content_Types].xml") {
			return true
		}
	}
	return false
}

// openWorkbook finds the sheets that hold tables.
func openWorkbook(ctx context.Context, file io.ReaderAt, size int64, archive *zip.Reader) (*source, error) {
	if err := checkParts(ctx, archive); err != nil {
		return nil, err
	}
	var book *excelize.File
	err := guarded(func() (err error) {
		book, err = excelize.OpenReader(io.NewSectionReader(file, 0, size), excelize.Options{
			RawCellValue:      true, // dates as serial numbers, not in the order of some country
			UnzipSizeLimit:    maxWorkbookBytes,
			UnzipXMLSizeLimit: maxInMemory,
		})
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("the workbook is damaged: %w; open it in a spreadsheet program and save it again", err)
	}
	return workbookSource(book, size)
}

func workbookSource(book *excelize.File, size int64) (*source, error) {
	src := newSource("")
	src.close = func() { book.Close() } // removes temporary files; there is nothing to lose
	props, err := book.GetWorkbookProps()
	if err != nil {
		src.close()
		return nil, fmt.Errorf("the workbook is damaged: %w", err)
	}
	src.epoch = epoch1900
	if props.Date1904 != nil && *props.Date1904 {
		src.epoch = epoch1904
	}
	percents := showPercents(book)
	names := book.GetSheetList()
	for _, name := range names {
		src.add(name, tableFile{
			name: name,
			size: size / int64(len(names)),
			open: func() (grid, error) { return openSheet(book, name, percents) },
		})
	}
	return src, nil
}

// sheet is a table as a sheet of a workbook.
type sheet struct {
	raw *excelize.Rows
	// shown walks along with raw where the workbook shows some numbers as
	// percentages; else nil.
	shown *excelize.Rows
	ended bool
}

func openSheet(book *excelize.File, name string, percents bool) (*sheet, error) {
	s := &sheet{}
	err := guarded(func() (err error) {
		if s.raw, err = book.Rows(name); err == nil && percents {
			s.shown, err = book.Rows(name)
		}
		return err
	})
	if err != nil {
		return nil, refusal{want: fmt.Sprintf("the sheet is damaged: %v", err)}
	}
	return s, nil
}

// done knows only whether the sheet has ended: how long it is shows at its end.
func (s *sheet) done() float64 {
	if s.ended {
		return 1
	}
	return 0
}

func (s *sheet) walk(visit func(row int, cells []string) bool, broken func(refusal)) {
	defer s.close()
	for row := 1; ; row++ {
		cells, err := s.next()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			broken(refusal{row, fmt.Sprintf("the sheet is damaged from here on: %v", err)})
			return
		}
		if !visit(row, trimmed(cells)) {
			return
		}
	}
}

// trimmed takes off the blank cells at the end, such as formulas leave.
func trimmed(cells []string) []string {
	for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

func (s *sheet) close() {
	s.ended = true
	s.raw.Close()
	if s.shown != nil {
		s.shown.Close()
	}
}

// next reads the next row; io.EOF says that there is none.
func (s *sheet) next() (cells []string, err error) {
	err = guarded(func() error {
		if !s.raw.Next() {
			return cmp.Or(s.raw.Error(), io.EOF)
		}
		if cells, err = s.raw.Columns(); err != nil || s.shown == nil || !s.shown.Next() {
			return err
		}
		shown, err := s.shown.Columns(excelize.Options{RawCellValue: false})
		if err == nil {
			percentages(cells, shown)
		}
		return err
	})
	return cells, err
}

// guarded keeps a panic of the library, which reads what strangers made, from
// ending the program.
func guarded(do func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("it cannot be understood (%v)", r)
		}
	}()
	return do()
}
