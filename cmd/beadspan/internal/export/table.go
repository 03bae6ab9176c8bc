package export

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"beadspan/ingest"
	"beadspan/study"
)

// table is a table that was written as CSV, with what its columns hold.
type table struct {
	name    string
	file    string
	columns []ingest.Column
}

// openTables finds the tables that stand in the folder, those of the log first.
func openTables(dir string, derived []string) ([]table, error) {
	known := map[string]map[string]ingest.Column{}
	for _, c := range append(ingest.Columns(), derivedColumns()...) {
		if known[c.Table] == nil {
			known[c.Table] = map[string]ingest.Column{}
		}
		known[c.Table][c.Name] = c
	}
	var tables []table
	for _, name := range append(ingest.Tables(), derived...) {
		t := table{name: name, file: filepath.Join(dir, name+".csv")}
		head, err := t.heading()
		if err != nil {
			return nil, err
		}
		for _, column := range head {
			c, is := known[name][column]
			if !is {
				return nil, fmt.Errorf("table %s has a column %s that nobody describes", name, column)
			}
			t.columns = append(t.columns, c)
		}
		tables = append(tables, t)
	}
	return tables, nil
}

func (t table) heading() ([]string, error) {
	file, err := os.Open(t.file)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return csv.NewReader(file).Read()
}

// each hands over the rows, each as typed cells: nil, a string, a float64, an
// int64 or a study.Day. The slice is used again for the next row.
func (t table) each(ctx context.Context, do func(cells []any) error) error {
	file, err := os.Open(t.file)
	if err != nil {
		return err
	}
	defer file.Close()
	in := csv.NewReader(file)
	in.ReuseRecord = true
	if _, err := in.Read(); err != nil { // the heading
		return err
	}
	cells := make([]any, len(t.columns))
	for n := 0; ; n++ {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil && n%1024 == 0 {
			err = ctx.Err()
		}
		if err != nil {
			return err
		}
		for i, text := range row {
			if cells[i], err = typed(t.columns[i].Kind, text); err != nil {
				return fmt.Errorf("table %s, row %d, %s: %w", t.name, n+2, t.columns[i].Name, err)
			}
		}
		if err := do(cells); err != nil {
			return err
		}
	}
}

// typed reads a cell as its column's kind; a blank one is nil.
func typed(kind ingest.Kind, text string) (any, error) {
	if text == "" {
		return nil, nil
	}
	switch kind {
	case ingest.Number:
		return strconv.ParseFloat(text, 64)
	case ingest.Whole:
		return strconv.ParseInt(text, 10, 64)
	case ingest.Date:
		return study.ParseDay(text)
	}
	return text, nil
}
