package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"beadspan/study"
)

// dueRecord is a row for machines.
type dueRecord struct {
	Vehicle string        `json:"vehicle"`
	Site    string        `json:"site"`
	Due     []study.Due   `json:"due"`
	Checkup CheckupAdvice `json:"next_checkup"`
}

// WriteJSON writes the whole list for machines.
func (l *DueList) WriteJSON(w io.Writer) error {
	out := struct {
		Study    string         `json:"study"`
		On       study.Day      `json:"on"`
		Ahead    int            `json:"ahead_days"`
		Plan     study.CarePlan `json:"care_plan"`
		Vehicles int            `json:"n_vehicles"`
		Rows     []dueRecord    `json:"due_vehicles"`
		Counts   []DueCount     `json:"counts"`
		Notes    []string       `json:"notes"`
	}{l.Study.Code, l.Horizon.On, l.Horizon.Ahead, l.Study.CarePlan, l.Vehicles, []dueRecord{},
		append([]DueCount{}, l.Counts...), append([]string{}, l.Notes...)}
	for _, row := range l.Rows {
		out.Rows = append(out.Rows, dueRecord{row.Vehicle.Code, row.Site.Code, row.Due, row.Checkup})
	}
	return writeRecord(w, "what is due", out)
}

// WriteCSV writes a line for each thing that a vehicle is due for.
func (l *DueList) WriteCSV(w io.Writer) error {
	lines := [][]string{{"vehicle", "site", "kind", "since", "patches", "why", "checkup_by_plan", "checkup_tells_much_from", "checkup_tells_most_on", "checkup_why_not"}}
	for _, row := range l.Rows {
		for _, d := range row.Due {
			lines = append(lines, []string{row.Vehicle.Code, row.Site.Code, string(d.Kind), d.Since.String(), strings.Join(d.Patches, " "), d.Why,
				dayOrBlank(row.Checkup.ByPlan), dayOrBlank(row.Checkup.From), dayOrBlank(row.Checkup.Best), row.Checkup.Why})
		}
	}
	if err := csv.NewWriter(w).WriteAll(lines); err != nil {
		return fmt.Errorf("write what is due as csv: %w", err)
	}
	return nil
}

func dayOrBlank(day *study.Day) string {
	if day == nil {
		return ""
	}
	return day.String()
}
