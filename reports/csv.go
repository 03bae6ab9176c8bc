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
	out := csv.NewWriter(w)
	record := reflect.TypeFor[lifeRecord]()
	var head []string
	for i := range record.NumField() {
		head = append(head, record.Field(i).Tag.Get("json"))
	}
	if err := out.Write(head); err != nil {
		return fmt.Errorf("write life as csv: %w", err)
	}
	for _, row := range l.Rows {
		fields := reflect.ValueOf(row.record())
		cells := make([]string, fields.NumField())
		for i := range cells {
			cells[i] = cell(fields.Field(i))
		}
		if err := out.Write(cells); err != nil {
			return fmt.Errorf("write life as csv: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write life as csv: %w", err)
	}
	return nil
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
