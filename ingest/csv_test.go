package ingest

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"

	"beadspan/study"
)

// walked reads text as a CSV file and returns its rows by their number.
func walked(t *testing.T, text string) map[int][]string {
	t.Helper()
	table, err := readCSV(strings.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	rows := map[int][]string{}
	table.walk(func(row int, cells []string) bool {
		rows[row] = append([]string(nil), cells...)
		return true
	}, func(r refusal) { t.Errorf("row %d: %s", r.row, r.want) })
	assert.InDelta(t, 1, table.done(), 1e-9)
	return rows
}

// The examples of RFC 4180, Common Format and MIME Type for CSV Files (2005),
// section 2.
func TestCSVOfRFC4180(t *testing.T) {
	for name, test := range map[string]struct {
		text string
		want map[int][]string
	}{
		"1: a line each":        {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", map[int][]string{1: {"aaa", "bbb", "ccc"}, 2: {"zzz", "yyy", "xxx"}}},
		"2: no last line break": {"aaa,bbb,ccc\r\nzzz,yyy,xxx", map[int][]string{1: {"aaa", "bbb", "ccc"}, 2: {"zzz", "yyy", "xxx"}}},
		"5: in quotes":          {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", map[int][]string{1: {"aaa", "bbb", "ccc"}, 2: {"zzz", "yyy", "xxx"}}},
		"6: line break within":  {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", map[int][]string{1: {"aaa", "b\nbb", "ccc"}, 3: {"zzz", "yyy", "xxx"}}},
		"7: quote within":       {"\"aaa\",\"b\"\"bb\",\"ccc\"", map[int][]string{1: {"aaa", "b\"bb", "ccc"}}},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, test.want, walked(t, test.text)) })
	}
}

func TestSeparatorsAndLineEnds(t *testing.T) {
	want := map[int][]string{1: {"code", "control", "note"}, 2: {"C-20", "no", "a b"}, 4: {"BARE", "yes", ""}}
	for name, text := range map[string]string{
		"commas":           "code,control,note\nC-20,no,a b\n\nBARE,yes,\n",
		"semicolons":       "code;control;note\r\nC-20;no;a b\r\n\r\nBARE;yes;\r\n",
		"tabs":             "code\tcontrol\tnote\nC-20\tno\ta b\n\nBARE\tyes\t\n",
		"carriage returns": "code,control,note\rC-20,no,a b\r\rBARE,yes,\r",
		"quoted headings":  "\"code\";\"control\";\"note\"\n\"C-20\";\"no\";\"a b\"\n\n\"BARE\";\"yes\";\"\"\n",
		"spaces":           "code, control, note\nC-20, no, \"a b\"\n\nBARE, yes,\n",
		"UTF-8 BOM":        "\ufeffcode,control,note\nC-20,no,a b\n\nBARE,yes,\n",
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, want, walked(t, text)) })
	}
	// With tabs, blanks between them are cells.
	assert.Equal(t, map[int][]string{1: {"code", "name", "note"}, 2: {"C-20", "", "x"}}, walked(t, "code\tname\tnote\nC-20\t\tx\n"))
	// The heading is the first row that isn't blank.
	assert.Equal(t, []string{"C-20", "x"}, walked(t, "\n;;\ncode;note\nC-20;x\n")[4])
	// A comma in the heading of a semicolon file changes nothing.
	assert.Equal(t, map[int][]string{1: {"code", "note", "wind, rain, sun, snow"}}, walked(t, "code;note;wind, rain, sun, snow\n"))
}

// The line that declares the separator is no row of the table, but is counted,
// as editors count it.
func TestDeclaredSeparator(t *testing.T) {
	for name, text := range map[string]string{
		"plain":       "sep=;\r\ncode;note\r\nC-20;a,b\r\n",
		"capitals":    "SEP=;\ncode;note\nC-20;a,b\n",
		"quoted":      "\"sep=;\"\ncode;note\nC-20;a,b\n",
		"behind BOM":  "\ufeffsep=;\ncode;note\nC-20;a,b\n",
		"a tab":       "sep=\t\ncode\tnote\nC-20\ta,b\n",
		"the comma":   "sep=,\ncode,note\nC-20,\"a,b\"\n",
		"one column;": "sep=;\ncode,x;note\nC-20;a,b\n",
	} {
		first := []string{"code", "note"}
		if name == "one column;" { // the declaration goes before a guess
			first[0] = "code,x"
		}
		assert.Equal(t, map[int][]string{2: first, 3: {"C-20", "a,b"}}, walked(t, text), name)
	}
	assert.Equal(t, []string{"sep=|"}, walked(t, "sep=|\ncode\n")[1])
}

// What stands before the headings of a real file, and where its faults are
// said to be.
func TestLinesBeforeTheHeadings(t *testing.T) {
	const table = "code;note;claim_low_months\nC-20;a,b;12\nBARE;;\n"
	for before, row := range map[string]int{
		"":                   3,
		"sep=;\n":            4,
		"\n\n":               5,
		";;\n":               4,
		"\ufeff\r\n ; ;\r\n": 5,
		"sep=;\n\n;;\n":      6,
		"\"\";\"\";\"\"\n":   4,
	} {
		fleet, err := ReadLog(t.Context(), folder(t, with(map[string]string{"coatings.csv": before + table})), Options{Today: lastDay})
		require.NoError(t, err, "%q", before)
		assert.Equal(t, "a,b", fleet.Coatings[0].Note, "%q", before)

		faulty := strings.Replace(before+table, "BARE;;", "BARE;;x", 1)
		want := fmt.Sprintf(`coatings.csv, row %d, claim_low_months: "x": expected a number (months); leave the cell blank if nobody knows`, row)
		assert.Equal(t, []string{want}, problemsOf(t, with(map[string]string{"coatings.csv": faulty}), Options{}), "%q", before)
	}
}

// What is counted without reading is what reading finds, row by row and fault
// by fault.
func TestWidthIsAsRead(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := []byte(rapid.StringMatching(`[ab", \n]{0,40}`).Draw(rt, "text"))
		read := newCSVText(text).csv
		for {
			rest := text[read.InputOffset():]
			cells, err := read.Read()
			if err == io.EOF {
				return
			}
			if err == nil {
				assert.False(rt, widerThan(len(cells), rest, byte(read.Comma)))
			}
			if err == nil && len(cells) > 1 {
				assert.True(rt, widerThan(len(cells)-1, rest, byte(read.Comma)))
			}
		}
	})
}

// A spreadsheet's "Unicode text" is UTF-16 with tabs.
func TestUTF16(t *testing.T) {
	const text = "code\tname\r\nC-20\tflüssig 水 😀\r\n"
	for name, order := range map[string]unicode.Endianness{"little endian": unicode.LittleEndian, "big endian": unicode.BigEndian} {
		encoded, err := unicode.UTF16(order, unicode.UseBOM).NewEncoder().String(text)
		require.NoError(t, err)
		assert.Equal(t, map[int][]string{1: {"code", "name"}, 2: {"C-20", "flüssig 水 😀"}}, walked(t, encoded), name)
	}
}

func TestHalfALetterInUTF16(t *testing.T) {
	_, err := readCSV(strings.NewReader("\xff\xfea\x00\n\x00\x3d\xd8b\x00"), 10)
	assert.Equal(t, refusal{2, "there is half a letter here: save the table again as CSV UTF-8"}, err)
}

// Semicolons and decimal commas are how half of the world's spreadsheets
// write; the log must read as its twin with points does.
func TestDecimalCommasReadAsPoints(t *testing.T) {
	files := smallLog()
	points, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	for name, text := range files {
		files[name] = strings.ReplaceAll(strings.ReplaceAll(text, ",", ";"), ".", ",")
	}
	commas, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, named(points), named(commas))
	assert.Equal(t, 105.5, commas.Vehicles[0].Checkups[0].Readings[0].AnglesDeg[1])

	files["vehicles.csv"] = "code;site;enrolled\nV-1;HARBOUR;4.3.2025\nV-2;HARBOUR;4.3.2025\n"
	local, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay, DateOrder: DayMonthYear})
	require.NoError(t, err)
	assert.Equal(t, study.DayOf(2025, 3, 4), local.Vehicles[0].Enrolled)
}
