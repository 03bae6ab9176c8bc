package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
)

// WriteCSV writes the pairs with the same names as WriteJSON, an empty cell for
// what is not estimable.
func (c *FleetComparison) WriteCSV(w io.Writer) error {
	lines := [][]string{fieldsOf(reflect.TypeFor[pairRecord]())}
	for _, row := range c.pairRecords() {
		lines = append(lines, cellsOf(reflect.ValueOf(row)))
	}
	if err := csv.NewWriter(w).WriteAll(lines); err != nil {
		return fmt.Errorf("write comparison as csv: %w", err)
	}
	return nil
}
