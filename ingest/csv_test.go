package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"

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
	// The line that declares the separator counts as a row.
	assert.Equal(t, map[int][]string{2: {"code", "note"}, 3: {"C-20", "a,b"}}, walked(t, "sep=;\r\ncode;note\r\nC-20;a,b\r\n"))
	// With tabs, blanks between them are cells.
	assert.Equal(t, map[int][]string{1: {"code", "name", "note"}, 2: {"C-20", "", "x"}}, walked(t, "code\tname\tnote\nC-20\t\tx\n"))
	// The heading is the first row that isn't blank.
	assert.Equal(t, []string{"C-20", "x"}, walked(t, "\n;;\ncode;note\nC-20;x\n")[4])
	// A comma in the heading of a semicolon file changes nothing.
	assert.Equal(t, map[int][]string{1: {"code", "note", "wind, rain, sun, snow"}}, walked(t, "code;note;wind, rain, sun, snow\n"))
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
