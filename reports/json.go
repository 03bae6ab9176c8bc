package reports

import (
	"encoding/json"
	"fmt"
	"io"
)

// curvedRecord is a row with the numbers behind its curve.
type curvedRecord struct {
	lifeRecord
	Curve []curvePoint `json:"curve"`
}

// curvePoint is what is known of the share that still holds after some months.
type curvePoint struct {
	Months   float64  `json:"months"`
	Share    float64  `json:"share_holding"`
	AtLeast  float64  `json:"share_holding_at_least"`
	AtMost   float64  `json:"share_holding_at_most"`
	Low      *float64 `json:"share_holding_low"`
	High     *float64 `json:"share_holding_high"`
	Followed int      `json:"n_patches_followed"`
}

// record is the curve at every half month; empty where there is none.
func (c *Curve) record() []curvePoint {
	points := []curvePoint{}
	if c == nil {
		return points
	}
	for _, p := range c.Points {
		_, low, high := p.numbers()
		points = append(points, curvePoint{p.Months, p.Share, p.AtLeast, p.AtMost, low, high, c.followed(p.Months)})
	}
	return points
}

// WriteJSON writes the table for machines: units in the key names, full
// precision, null for what is not estimable, the numbers behind the curves, and
// the notes in plain words.
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
		By          []By           `json:"by"`
		Level       float64        `json:"confidence_level"`
		Replicates  int            `json:"bootstrap_replicates"`
		Seed        uint64         `json:"seed"`
		Rows        []curvedRecord `json:"rows"`
		Comparisons []comparison   `json:"comparisons"`
		Notes       []string       `json:"notes"`
	}{append([]By{}, l.By...), l.Level, l.Replicates, l.Seed, []curvedRecord{}, []comparison{}, l.Notes}
	for _, row := range l.Rows {
		out.Rows = append(out.Rows, curvedRecord{row.record(), row.Curve.record()})
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
