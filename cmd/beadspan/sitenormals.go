package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/study"
	"beadspan/study/climate"
)

// twelveFlag is an option of twelve numbers, January first.
type twelveFlag struct{ months *climate.Monthly }

// UnmarshalText reads the numbers.
func (f *twelveFlag) UnmarshalText(text []byte) (err error) {
	f.months, err = siting.Twelve(string(text))
	return err
}

// oneOrTwelve is an option of a number for the year, or twelve for its months.
type oneOrTwelve struct {
	year   *float64
	months *climate.Monthly
}

// UnmarshalText reads the numbers.
func (f *oneOrTwelve) UnmarshalText(text []byte) (err error) {
	f.year, f.months, err = siting.OneOrTwelve(string(text))
	return err
}

// maxNormalsBytes is far above what twelve rows need.
const maxNormalsBytes = 1 << 20

// readNormals reads a file of a heading and twelve rows. It returns
// study.Problems for all that is wrong with what stands there.
func readNormals(path string) (climate.Normals, error) {
	file, err := os.Open(path)
	if err != nil {
		return climate.Normals{}, fmt.Errorf("read the normals: %w", err)
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, maxNormalsBytes+1))
	switch {
	case err != nil:
		return climate.Normals{}, fmt.Errorf("read the normals: %w", err)
	case len(text) > maxNormalsBytes:
		return climate.Normals{}, fmt.Errorf("read the normals: %s is larger than a file of twelve rows can be", path)
	}
	n, err := parseNormals(strings.TrimPrefix(string(text), "\ufeff"), filepath.Base(path))
	if err != nil {
		return climate.Normals{}, fmt.Errorf("read the normals: %w", err)
	}
	return n, nil
}

// normalsTable is a file of normals being read.
type normalsTable struct {
	file     string
	problems study.Problems
}

func parseNormals(text, file string) (n climate.Normals, err error) {
	t := normalsTable{file: file}
	rows, err := t.rows(text)
	if err != nil {
		return n, err
	}
	into := map[string]**climate.Monthly{
		"temp_c": &n.MeanTempC, "max_c": &n.MaxTempC, "min_c": &n.MinTempC, "rain_mm": &n.PrecipitationMM,
		"sunshine_h": &n.SunshineH, "cloud_pct": &n.CloudPct, "humidity_pct": &n.HumidityPct,
	}
	seen := map[string]bool{}
	for column, heading := range rows[0] {
		heading = strings.ToLower(strings.TrimSpace(heading))
		list, known := into[heading]
		switch {
		case seen[heading]:
			t.problem(1, heading, "", "this column is there twice")
		case heading == "month":
			t.checkMonths(rows[1:], column)
		case !known:
			t.problem(1, heading, "", "expected month, temp_c, max_c, min_c, rain_mm, sunshine_h, cloud_pct or humidity_pct")
		default:
			*list = t.column(rows[1:], column, heading)
		}
		seen[heading] = true
	}
	if !seen["month"] {
		t.problem(1, "month", "", "expected this column: 1 to 12, or Jan to Dec")
	}
	return n, t.problems.OrNil()
}

// rows parts the file into cells, by the separator that its heading has.
func (t *normalsTable) rows(text string) ([][]string, error) {
	reader := csv.NewReader(strings.NewReader(text))
	heading, _, _ := strings.Cut(text, "\n")
	for _, separator := range []rune{';', '\t'} {
		if strings.ContainsRune(heading, separator) {
			reader.Comma = separator
			break
		}
	}
	rows, err := reader.ReadAll()
	var wrong *csv.ParseError
	if errors.As(err, &wrong) {
		t.problem(wrong.Line, "", "", wrong.Err.Error())
		return nil, t.problems
	}
	if err != nil {
		return nil, err
	}
	if len(rows) != 13 {
		t.problem(0, "", "", fmt.Sprintf("expected a heading and twelve rows, not %d rows in all", len(rows)))
		return nil, t.problems
	}
	return rows, nil
}

// checkMonths wants the months in their order, so that none is taken for another.
func (t *normalsTable) checkMonths(rows [][]string, column int) {
	names := []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
	for i, row := range rows {
		word := strings.ToLower(strings.TrimSpace(row[column]))
		number, err := strconv.Atoi(word)
		if err != nil && len(word) >= 3 {
			number = slices.Index(names, word[:3]) + 1
		}
		if number != i+1 {
			t.problem(i+2, "month", row[column], fmt.Sprintf("expected %d or %s: the months come in order", i+1, names[i]))
		}
	}
}

func (t *normalsTable) column(rows [][]string, column int, heading string) *climate.Monthly {
	var months climate.Monthly
	for i, row := range rows {
		x, err := siting.Decimal(strings.TrimSpace(row[column]))
		if err != nil {
			t.problem(i+2, heading, row[column], "expected a number; leave the whole column out if it isn't known")
		}
		months[i] = x
	}
	return &months
}

func (t *normalsTable) problem(row int, column, got, want string) {
	t.problems = append(t.problems, study.Problem{File: t.file, Row: row, Column: column, Got: got, Want: want})
}
