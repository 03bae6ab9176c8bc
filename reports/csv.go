package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
)

// WriteCSV writes the rows with the same names as WriteJSON, an empty cell for
// what is not estimable, and the notes of a row in one cell, a line each.
func (l *Life) WriteCSV(w io.Writer) error {
	lines := [][]string{fieldsOf(reflect.TypeFor[lifeRecord]())}
	for _, row := range l.Rows {
		lines = append(lines, cellsOf(reflect.ValueOf(row.record())))
	}
	if err := csv.NewWriter(w).WriteAll(lines); err != nil {
		return fmt.Errorf("write life as csv: %w", err)
	}
	return nil
}

// fieldsOf are the names of a record's fields in JSON, those of embedded records
// in their place.
func fieldsOf(record reflect.Type) []string {
	var names []string
	for i := range record.NumField() {
		if field := record.Field(i); field.Anonymous {
			names = append(names, fieldsOf(field.Type)...)
		} else {
			names = append(names, field.Tag.Get("json"))
		}
	}
	return names
}

// cellsOf writes the fields of a record, in the order of their names.
func cellsOf(record reflect.Value) []string {
	var cells []string
	for i := range record.NumField() {
		if field := record.Field(i); record.Type().Field(i).Anonymous {
			cells = append(cells, cellsOf(field)...)
		} else {
			cells = append(cells, cell(field))
		}
	}
	return cells
}

// cell writes a field of a record with full precision.
func cell(field reflect.Value) string {
	if field.Kind() == reflect.Pointer {
		if field.IsNil() {
			return ""
		}
		field = field.Elem()
	}
	switch value := field.Interface().(type) {
	case float64:
		return strconv.FormatFloat(value, 'g', -1, 64)
	case []string:
		return strings.Join(value, "\n")
	default:
		return fmt.Sprint(value)
	}
}
