package ingest

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"beadspan/study"
)

// Workbooks written by openpyxl 3.0.9 (testdata/logs/workbook.py), with dates
// from 1900 and from 1904, percentages and truth values.
func TestWorkbooksOfAnotherProgram(t *testing.T) {
	for _, name := range []string{"workbook-1900.xlsx", "workbook-1904.xlsx"} {
		t.Run(name, func(t *testing.T) {
			fleet, err := ReadLog(t.Context(), "../testdata/logs/"+name, Options{Today: lastDay})
			require.NoError(t, err)
			assert.Equal(t, study.Size{Coatings: 2, Sites: 1, People: 1, Vehicles: 1, Patches: 1, Checkups: 1, Readings: 2, Care: 1}, fleet.Size())
			assert.Equal(t, []bool{false, true}, []bool{fleet.Coatings[0].Control, fleet.Coatings[1].Control})
			assert.Equal(t, 51.925, fleet.Sites[0].LatitudeDeg)
			assert.Equal(t, 6.5, fleet.Sites[0].MeanTempC[2])
			v := fleet.Vehicles[0]
			assert.Equal(t, "17", v.Code)
			assert.Equal(t, study.DayOf(2023, time.March, 15), v.Enrolled)
			assert.Equal(t, study.Carport, v.Garage)
			assert.Equal(t, study.DayOf(2023, time.March, 14), v.Patches[0].Applied)
			assert.Equal(t, 55.0, *v.Patches[0].Job.HumidityPct)
			c := v.Checkups[0]
			assert.Equal(t, study.DayOf(2023, time.April, 20), c.Day)
			assert.Equal(t, []float64{104.1, 105.5}, c.Readings[0].AnglesDeg)
			assert.Equal(t, 7.0, *c.Readings[0].WetSharePct)
			assert.Equal(t, "Weather: dry", c.Readings[0].Note)
			assert.Equal(t, []float64{95.4}, c.Readings[1].AnglesDeg)
		})
	}
}

// A workbook says the same as the CSV files that it was filled from.
func TestWorkbookReadsAsItsCSV(t *testing.T) {
	files := smallLog()
	want, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	got, err := ReadLog(t.Context(), workbook(t, files, nil), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, named(want), named(got))
}

func TestProblemsInAWorkbook(t *testing.T) {
	files := with(map[string]string{
		"coatings.csv": "code,control\nC-20,maybe\n\nBARE,yes\n",
		"care.csv":     "vehicle,date,kind\nV-1,45000.25,clay\nV-1,4.3.2025,clay\nV-1,1900,clay\nV-1,2025-05-01,clay,more\n",
		"sites.csv":    "",
		"site.csv":     "x\n",
	})
	_, err := ReadLog(t.Context(), workbook(t, files, nil), Options{Today: lastDay})
	var problems study.Problems
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, []string{
		`coatings, row 2, control: "maybe": expected yes or no`,
		`sites: this table is missing; did you mean it by "site"?`,
		`care, row 2, date: "45000.25": expected a date without a time of day`,
		`care, row 3, date: "4.3.2025": day or month first? say which with --dates dmy or --dates mdy, or write 2025-03-04`,
		`care, row 4, date: "1900": the date is 1905-03-14: expected none before 1990-01-01`,
		"care, row 5: the row has 4 cells and there are 3 headings: a column needs a heading, and a cell that holds the separator needs quotation marks",
	}, strings.Split(problems.Error(), "\n"))
}

func TestFormulasInAWorkbook(t *testing.T) {
	bare := workbook(t, smallLog(), func(book *excelize.File) {
		require.NoError(t, book.SetCellValue("vehicles", "E3", nil))
		require.NoError(t, book.SetCellFormula("vehicles", "E3", "E2*2"))
	})
	_, err := ReadLog(t.Context(), bare, Options{Today: lastDay})
	assert.ErrorContains(t, err, "cell E3 holds a formula without its result")

	// With the result beside it the result is read.
	calculated := workbook(t, smallLog(), func(book *excelize.File) {
		require.NoError(t, book.SetCellValue("vehicles", "E3", 30000))
		require.NoError(t, book.SetCellFormula("vehicles", "E3", "E2*2"))
	})
	rewritePart(t, calculated, "xl/worksheets/sheet7.xml", func(part []byte) []byte {
		return bytes.Replace(part, []byte("<f>E2*2</f>"), []byte("<f>E2*2</f><v>30000</v>"), 1)
	})
	fleet, err := ReadLog(t.Context(), calculated, Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, 30000.0, *fleet.Vehicles[1].KmPerYear)
}

// ECMA-376 writes characters that XML cannot hold as _xHHHH_ (part 1, 22.9.2.19, section from memory).
func TestCodeZeroInAWorkbook(t *testing.T) {
	path := workbook(t, smallLog(), nil)
	rewritePart(t, path, "xl/sharedStrings.xml", func(part []byte) []byte {
		return bytes.Replace(part, []byte("<t>bonnet</t>"), []byte("<t>bon_x0000_net</t>"), 1)
	})
	_, err := ReadLog(t.Context(), path, Options{Today: lastDay})
	assert.ErrorContains(t, err, "expected text without the character of code 0")
}

func TestDamagedWorkbooks(t *testing.T) {
	cut := workbook(t, smallLog(), nil)
	rewritePart(t, cut, "xl/worksheets/sheet2.xml", func(part []byte) []byte { return part[:len(part)/2] })
	_, err := ReadLog(t.Context(), cut, Options{Today: lastDay})
	assert.ErrorContains(t, err, "xl/worksheets/sheet2.xml in it: the workbook is damaged")

	locked := filepath.Join(t.TempDir(), "locked.xlsx")
	require.NoError(t, os.WriteFile(locked, []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1 and so on"), 0o600))
	_, err = ReadLog(t.Context(), locked, Options{Today: lastDay})
	assert.ErrorContains(t, err, "an old XLS workbook or one with a password")
}

// workbook puts each file into a sheet: numbers as numbers, all else as text.
func workbook(t *testing.T, files map[string]string, change func(*excelize.File)) string {
	t.Helper()
	book := excelize.NewFile()
	for _, name := range sorted(files) {
		sheetName := strings.TrimSuffix(name, ".csv")
		_, err := book.NewSheet(sheetName)
		require.NoError(t, err)
		for i, row := range strings.Split(strings.TrimSuffix(files[name], "\n"), "\n") {
			for j, cell := range strings.Split(row, ",") {
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				require.NoError(t, book.SetCellValue(sheetName, at, cellValue(cell)))
			}
		}
	}
	if change != nil {
		change(book)
	}
	path := filepath.Join(t.TempDir(), "log.xlsx")
	require.NoError(t, book.SaveAs(path))
	return path
}

func cellValue(text string) any {
	if text == "" {
		return nil
	}
	if x, problem := parseNumber(text, ""); problem == "" {
		return x
	}
	return text
}

// Large sheets and texts pass through temporary files, which must be gone
// afterwards.
func TestLargeWorkbook(t *testing.T) {
	files := smallLog()
	var care strings.Builder
	care.WriteString("vehicle,date,kind,note\n")
	const rows = 6000
	for i := range rows {
		note := fmt.Sprintf("%d %s", i, strings.Repeat("shampoo and a soft mitt ", 12))
		fmt.Fprintf(&care, "V-1,%s,clay,%s\n", study.DayOf(2010, 1, 1)+study.Day(i), strings.TrimSpace(note))
	}
	files["care.csv"] = care.String()
	want, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	path := workbook(t, files, nil)

	t.Setenv("TMPDIR", t.TempDir())
	got, err := ReadLog(t.Context(), path, Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, named(want), named(got))
	assert.Len(t, got.Vehicles[0].Care, rows)
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	require.NoError(t, err)
	assert.Empty(t, left, "temporary files")
}
