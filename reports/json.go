package reports

import (
	"encoding/json"
	"fmt"
	"io"
)

// WriteJSON writes the table for machines: units in the key names, full
// precision, null for what is not estimable, and the notes in plain words.
func (l *Life) WriteJSON(w io.Writer) error {
	type comparison struct {
		Of        string   `json:"of"`
		Groups    []string `json:"groups"`
		Test      string   `json:"test"`
		ChiSquare *float64 `json:"chi_square"`
		DF        int      `json:"degrees_of_freedom"`
		P         *float64 `json:"p_value"`
		Notes     []string `json:"notes"`
	}
	out := struct {
		By          []By         `json:"by"`
		Level       float64      `json:"confidence_level"`
		Replicates  int          `json:"bootstrap_replicates"`
		Seed        uint64       `json:"seed"`
		Rows        []lifeRecord `json:"rows"`
		Comparisons []comparison `json:"comparisons"`
		Notes       []string     `json:"notes"`
	}{append([]By{}, l.By...), l.Level, l.Replicates, l.Seed, []lifeRecord{}, []comparison{}, l.Notes}
	for _, row := range l.Rows {
		out.Rows = append(out.Rows, row.record())
	}
	for _, c := range l.Comparisons {
		out.Comparisons = append(out.Comparisons, comparison{
			c.Of, c.Groups, c.Test, finite(c.ChiSquare), c.DF, finite(c.P), append([]string{}, c.Notes...),
		})
	}
	return writeRecord(w, "life", out)
}

// writeRecord writes what is called so as indented JSON.
func writeRecord(w io.Writer, what string, record any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(record); err != nil {
		return fmt.Errorf("write %s as json: %w", what, err)
	}
	return nil
}
