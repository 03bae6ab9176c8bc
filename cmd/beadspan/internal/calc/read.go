package calc

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// longestHeading bounds the first line of a file, in bytes.
const longestHeading = 64 << 10

// Read reads a CSV file with a heading. name is what the file is called in
// problems. Values are separated by commas, semicolons or tabs, whichever lets
// the heading hold most of the columns asked for; numbers have a decimal point.
// Columns that weren't asked for may hold anything.
//
// A blank cell in a column that was asked for leaves its row out, and a note
// says how many were; but a blank Lower or Upper is an open end, and a blank
// Entry an entry at 0. A row of weight 0 is left out as well.
//
// Everything wrong is returned at once, as study.Problems: columns that aren't
// there, rows too short or too long, what isn't a number, ends before starts.
func Read(name string, file io.Reader, columns Columns) (*Data, error) {
	r := &reader{
		columns:  columns,
		problems: problemList{file: name},
		data:     newData(name, columns),
		blank:    map[string]int{},
	}
	if err := r.read(file); err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if err := r.problems.orNil(); err != nil {
		return nil, err
	}
	r.data.finish(r.blank)
	return r.data, nil
}

// reader is the work of reading one file.
type reader struct {
	columns  Columns
	heading  []string
	place    map[string]int // of each column asked for, in a row
	problems problemList
	data     *Data
	blank    map[string]int // rows left out, by what was blank in them
	matching int            // rows that met the conditions
}

func (r *reader) read(file io.Reader) error {
	text := bufio.NewReaderSize(file, longestHeading)
	first, err := text.Peek(longestHeading)
	if err != nil && err != io.EOF {
		return err
	}
	separator, ok := r.separator(first)
	if !ok {
		return nil
	}
	if bytes.HasPrefix(first, byteOrderMark) {
		_, _ = text.Discard(len(byteOrderMark)) // it was just seen to be there
	}
	rows := csv.NewReader(text)
	rows.Comma, rows.FieldsPerRecord, rows.ReuseRecord = separator, -1, true
	for {
		cells, err := rows.Read()
		var fault *csv.ParseError
		switch {
		case err == io.EOF:
			r.sayIfNone()
			return nil
		case errors.As(err, &fault):
			r.problems.add(fault.StartLine, "", "", "quotation marks are amiss: put a cell in quotation marks "+
				"whole, and write one within it twice. Nothing below was read")
			return nil
		case err != nil:
			return err
		}
		at, _ := rows.FieldPos(0)
		if r.heading != nil {
			r.row(at, cells)
		} else if !r.readHeading(at, cells) {
			return nil
		}
	}
}

var byteOrderMark = []byte("\xEF\xBB\xBF")

// separator tells from how a file begins what separates its cells.
func (r *reader) separator(begin []byte) (separator rune, ok bool) {
	begin = bytes.TrimLeft(bytes.TrimPrefix(begin, byteOrderMark), "\r\n")
	line, _, found := bytes.Cut(begin, []byte("\n"))
	switch {
	case len(begin) == 0:
		r.problems.add(0, "", "", "the file is empty: expected a heading and a row for each "+r.columns.row())
		return 0, false
	case !utf8.Valid(line) || bytes.IndexByte(line, 0) >= 0 || !found && len(begin) >= longestHeading-len(byteOrderMark):
		r.problems.add(1, "", "", "this is no heading: expected a CSV file, saved as UTF-8")
		return 0, false
	}
	best, most := ',', 0
	for _, separator := range []rune{',', ';', '\t'} {
		n := 0
		for word := range strings.SplitSeq(string(line), string(separator)) {
			if slices.Contains(r.columns.all(), strings.Trim(strings.TrimSpace(word), `"`)) {
				n++
			}
		}
		if n > most {
			best, most = separator, n
		}
	}
	return best, true
}

// readHeading finds the columns asked for, or says which it can't find.
func (r *reader) readHeading(row int, cells []string) (ok bool) {
	r.place = map[string]int{}
	for _, cell := range cells {
		r.heading = append(r.heading, strings.TrimSpace(strings.Clone(cell)))
	}
	ok = true
	for _, column := range r.columns.all() {
		at := slices.Index(r.heading, column)
		r.place[column] = at
		switch {
		case at < 0:
			r.problems.add(row, column, "", "no such column. The file has "+strings.Join(r.heading, ", "))
			ok = false
		case slices.Contains(r.heading[at+1:], column):
			r.problems.add(row, column, "", "two columns have this name: rename one")
			ok = false
		}
	}
	return ok
}

// sayIfNone says that there is nothing to work with.
func (r *reader) sayIfNone() {
	switch {
	case r.heading == nil:
		r.problems.add(0, "", "", "the file is empty: expected a heading and a row for each "+r.columns.row())
	case r.matching == 0 && len(r.columns.Where) > 0:
		r.problems.add(0, "", "", "no row has "+conditionsText(r.columns.Where))
	case r.matching == 0:
		r.problems.add(0, "", "", "there is nothing below the heading: expected a row for each "+r.columns.row())
	case len(r.data.Lines) == 0 && len(r.problems.list.Problems()) == 0:
		r.problems.add(0, "", "", "nothing is left: every row has a blank in a column that was asked for, or weight 0")
	}
}
