package ingest

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// MaxTableBytes is how large a table of a log may be as text.
const MaxTableBytes = 64 << 20

// mostCells is how wide a row may be to be looked at: as wide as a
// spreadsheet's sheet. A row with more cells than headings is at fault at any
// width; this bounds what it costs to find out.
const mostCells = 16_384

var errTooLarge = refusal{want: fmt.Sprintf("it is larger than %d MB: split the log by year", MaxTableBytes>>20)}

// readCSV reads a CSV file into memory. size is what the file is said to
// measure; what counts is what comes out of it.
func readCSV(file io.Reader, size int64) (*csvText, error) {
	if size > MaxTableBytes {
		return nil, errTooLarge
	}
	raw, err := io.ReadAll(io.LimitReader(file, MaxTableBytes+1))
	if err != nil {
		return nil, err
	}
	if len(raw) > MaxTableBytes {
		return nil, errTooLarge
	}
	text, err := decode(raw)
	if err != nil {
		return nil, err
	}
	return newCSVText(text), nil
}

// csvText is a table as text, RFC 4180 with any of three separators.
type csvText struct {
	text  []byte
	lines int // before the text
	csv   *csv.Reader
}

func newCSVText(text []byte) *csvText {
	t := &csvText{}
	var separator rune
	first, rest, _ := bytes.Cut(text, []byte("\n"))
	if mark, said := declaredSeparator(first); said {
		separator, text, t.lines = mark, rest, 1
	} else {
		separator = guessedSeparator(string(headingLine(text)))
	}
	t.text = text
	t.csv = csv.NewReader(bytes.NewReader(text))
	t.csv.Comma = separator
	t.csv.FieldsPerRecord = -1
	t.csv.ReuseRecord = true
	// A tab that separates would be trimmed as well.
	t.csv.TrimLeadingSpace = separator != '\t'
	return t
}

func (t *csvText) done() float64 {
	if len(t.text) == 0 {
		return 1
	}
	return float64(t.csv.InputOffset()) / float64(len(t.text))
}

func (t *csvText) walk(visit func(row int, cells []string) bool, broken func(refusal)) {
	for {
		if rest := t.text[t.csv.InputOffset():]; widerThan(mostCells, rest, byte(t.csv.Comma)) {
			broken(refusal{t.rowAt(rest), fmt.Sprintf("the row has more than %d cells: expected as many as there are headings. "+
				"Nothing below it was read", mostCells)})
			return
		}
		cells, err := t.csv.Read()
		if err == io.EOF {
			return
		}
		if fault, is := errors.AsType[*csv.ParseError](err); is {
			broken(refusal{fault.StartLine + t.lines, quotingFault(fault)})
			continue
		}
		row, _ := t.csv.FieldPos(0)
		if !visit(row+t.lines, cells) {
			return
		}
	}
}

// rowAt is the number of the first row of rest that isn't empty.
func (t *csvText) rowAt(rest []byte) int {
	rest = bytes.TrimLeft(rest, "\n")
	return t.lines + 1 + bytes.Count(t.text[:len(t.text)-len(rest)], []byte("\n"))
}

// widerThan reports whether the first row of text that isn't empty has more
// than so many cells. It takes no memory, unlike reading the row. Up to the
// first fault in the quotation marks, where reading stops, it sees the same
// cells as reading does.
func widerThan(most int, text []byte, separator byte) bool {
	cells, quoted := 1, false
	for _, b := range bytes.TrimLeft(text, "\n") {
		switch {
		case b == '"':
			quoted = !quoted
		case quoted:
		case b == '\n':
			return false
		case b == separator:
			if cells++; cells > most {
				return true
			}
		}
	}
	return false
}

// quotingFault puts into plain words what RFC 4180 §2 (5)–(7) asks of
// quotation marks.
func quotingFault(fault *csv.ParseError) string {
	if errors.Is(fault.Err, csv.ErrBareQuote) {
		return `there is a quotation mark within a cell: put the cell in quotation marks and write the one within twice, as in "5"" drop"`
	}
	return fmt.Sprintf("a cell in quotation marks doesn't end where it should, up to row %d: "+
		"expected a closing quotation mark, then a separator", fault.Line)
}

// declaredSeparator reads the line "sep=;" that spreadsheets understand, and
// that people and programs put there for them.
func declaredSeparator(line []byte) (separator rune, said bool) {
	if line = bytes.Trim(line, `"`); len(line) != len("sep=;") {
		return 0, false
	}
	mark, said := strings.CutPrefix(strings.ToLower(string(line)), "sep=")
	if !said || !strings.Contains(",;\t", mark) {
		return 0, false
	}
	return rune(mark[0]), true
}

// headingLine is the first line that isn't blank, or enough of it to tell the
// separator.
func headingLine(text []byte) []byte {
	const enough = 64 << 10
	for len(text) > 0 {
		var line []byte
		line, text, _ = bytes.Cut(text, []byte("\n"))
		if len(bytes.Trim(line, " ,;\t\"")) > 0 {
			return line[:min(len(line), enough)]
		}
	}
	return nil
}

// guessedSeparator takes the separator under which the heading holds most
// words that are some column's name.
func guessedSeparator(heading string) rune {
	var names []string
	for _, c := range Columns() {
		names = append(names, c.Name)
	}
	best, most := ',', 0
	for _, separator := range []rune{',', ';', '\t'} {
		n := 0
		for _, word := range strings.Split(heading, string(separator)) {
			if slices.Contains(names, folded(strings.Trim(word, "\" "))) {
				n++
			}
		}
		if n > most {
			best, most = separator, n
		}
	}
	return best
}
