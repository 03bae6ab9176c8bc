package ingest

import (
	"archive/zip"
	"compress/flate"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestTableThatIsTooLarge(t *testing.T) {
	dir := folder(t, with(map[string]string{"care.csv": "vehicle,date,kind\n"}))
	require.NoError(t, os.Truncate(filepath.Join(dir, "care.csv"), 200<<20))
	_, err := ReadLog(t.Context(), dir, Options{Today: lastDay})
	assert.EqualError(t, err, "care.csv: it is larger than 64 MB: split the log by year")
	assert.ErrorAs(t, err, new(study.Problems))
}

func TestTableWithTooManyRows(t *testing.T) {
	files := smallLog()
	files["coatings.csv"] = "code,note\nC-20,\nBARE,\n" + strings.Repeat(",\n", MaxRows) + "C-21,\n"
	want := fmt.Sprintf("coatings.csv, row %d: expected no more than %d rows: split the log by year", MaxRows+4, MaxRows)
	assert.Equal(t, []string{want}, problemsOf(t, files, Options{}))
}

func TestTableWithTooManyColumns(t *testing.T) {
	const refused = "coatings.csv, row 1: the row of headings has 257 cells: expected no more than 256. " +
		"Delete the columns that are no part of the log, blank ones as well"
	headings := "code" + strings.Repeat(",x", MaxColumns-1)
	files := with(map[string]string{"coatings.csv": headings + "\nC-20\nBARE\n"})
	_, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	files["coatings.csv"] = headings + ",\nC-20\nBARE\n"
	assert.Equal(t, []string{refused}, problemsOf(t, files, Options{}))
	_, err = ReadLog(t.Context(), workbook(t, with(map[string]string{"coatings.csv": headings + ",x\nC-20\nBARE\n"}), nil), Options{Today: lastDay})
	assert.EqualError(t, err, strings.Replace(refused, ".csv", "", 1))
}

// Millions of cells in one row are refused before they take memory, wherever
// they stand and whatever the quotation marks around them.
func TestRowOfMillionsOfCells(t *testing.T) {
	const cells = 8_000_000
	commas := strings.Repeat(",", cells-1)
	const refused = ": the row has more than 16384 cells: expected as many as there are headings. Nothing below it was read"
	for name, test := range map[string]struct {
		coatings string
		want     []string
	}{
		"headings":             {"code" + commas, []string{"coatings.csv, row 1" + refused}},
		"blank headings":       {commas + "\ncode\n", []string{"coatings.csv, row 1" + refused}},
		"behind empty lines":   {"sep=,\n\n\ncode,note\nC-20,\n\n\nBARE" + commas + "\n", []string{"coatings.csv, row 8" + refused}},
		"behind a cell's line": {"code,note\nC-20,\nBARE,\"a\nb\"" + commas + "\n", []string{"coatings.csv, row 3" + refused}},
		"behind a fault": {"code,note\nC\"20,\nBARE," + commas + "\n", []string{
			`coatings.csv, row 2: there is a quotation mark within a cell: put the cell in quotation marks and write the one within twice, as in "5"" drop"`,
			"coatings.csv, row 3" + refused,
		}},
	} {
		t.Run(name, func(t *testing.T) {
			dir := folder(t, with(map[string]string{"coatings.csv": test.coatings}))
			before := allocated()
			_, err := ReadLog(t.Context(), dir, Options{Today: lastDay})
			require.EqualError(t, err, strings.Join(test.want, "\n"))
			assert.Less(t, allocated()-before, uint64(100<<20), "bytes allocated")
		})
	}
	within, err := ReadLog(t.Context(), folder(t, with(map[string]string{
		"coatings.csv": "code,note\nC-20,\"" + strings.Repeat(",", 100_000) + "\"\nBARE,\n",
	})), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Len(t, within.Coatings[0].Note, 100_000, "separators within a cell")
}

// A bomb: little in the file, much when unpacked. In some cases what the
// archive says of its sizes is a lie.
func TestZipBombs(t *testing.T) {
	for name, test := range map[string]struct {
		member string
		size   int64
		claim  uint32 // 0: the truth
		want   string
	}{
		"table":                      {"care.csv", MaxTableBytes, 0, "it is larger than 64 MB: split the log by year"},
		"table that looks small":     {"care.csv", MaxTableBytes, 100, "zip: not a valid zip file"},
		"picture in a workbook":      {"xl/media/image1.png", maxPartBytes, 0, "is larger than 4 MB: take out of the workbook what is no table"},
		"sheet":                      {"xl/worksheets/sheet1.xml", maxWorkbookBytes, 0, "unpacked it is larger than 128 MB"},
		"sheet that looks small":     {"xl/worksheets/sheet1.xml", maxWorkbookBytes, 100, "zip: not a valid zip file"},
		"styles":                     {"xl/styles.xml", maxPartBytes, 0, "is larger than 4 MB"},
		"styles that look small":     {"xl/styles.xml", maxWorkbookBytes, 100, "zip: not a valid zip file"},
		"strings":                    {"xl/sharedStrings.xml", maxWorkbookBytes, 0, "unpacked it is larger than 128 MB"},
		"part that looks very large": {"xl/theme.xml", 100, 1 << 31, "is larger than 4 MB"},
	} {
		t.Run(name, func(t *testing.T) {
			path := bomb(t, test.member, test.size)
			if test.claim != 0 {
				claim(t, path, test.member, test.claim)
			}
			before := allocated()
			_, err := ReadLog(t.Context(), path, Options{Today: lastDay})
			require.ErrorContains(t, err, test.want)
			assert.Less(t, allocated()-before, uint64(400<<20), "bytes allocated")
		})
	}
}

// bomb packs a little more than so many spaces into one member, beside the
// list of parts if it is a workbook's.
func bomb(t *testing.T, member string, size int64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bomb.zip")
	file, err := os.Create(path)
	require.NoError(t, err)
	defer file.Close()
	out := zip.NewWriter(file)
	out.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	if strings.HasPrefix(member, "xl/") {
		_, err = out.Create("[Content_Types].xml")
		require.NoError(t, err)
	}
	part, err := out.Create(member)
	require.NoError(t, err)
	_, err = io.WriteString(part, "<x>")
	require.NoError(t, err)
	spaces := []byte(strings.Repeat(" ", 1<<20))
	for written := int64(0); written < size; written += int64(len(spaces)) {
		_, err = part.Write(spaces)
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	return path
}

func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

// Many small texts are no small thing in memory.
func TestTooManySharedStrings(t *testing.T) {
	err := checkStrings(strings.NewReader("<sst>" + strings.Repeat("<si/>", maxStrings+1) + "</sst>"))
	assert.ErrorContains(t, err, "expected no more than 2097152 texts")
}
