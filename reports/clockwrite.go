package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/study/exposure"
)

// WriteText writes the comparison for a terminal: the answer, the clocks, the
// life of each coating on each, and the notes.
func (c *Clocks) WriteText(w io.Writer) error {
	var b strings.Builder
	writeParagraph(&b, c.Sentence())
	for _, t := range c.Tables() {
		b.WriteString("\n" + t.text() + "\n")
	}
	b.WriteString("\n")
	for _, row := range c.Rows {
		if row.Why != "" {
			writeNote(&b, fmt.Sprintf("Not compared: %s (%s).", clockWords(row.Clock), row.Why))
		}
	}
	for _, note := range c.Notes {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write clocks as text: %w", err)
	}
	return nil
}

// writeParagraph writes words over as many lines as they need.
func writeParagraph(b *strings.Builder, words string) {
	for line := range strings.Lines(text.WrapSoft(words, textWidth)) {
		b.WriteString(strings.TrimSpace(line) + "\n")
	}
}

// Tables holds the compared clocks and the lives on those that may be the best,
// and by the calendar, ultraviolet and washes, which people ask for; nothing
// when no clock was compared.
func (c *Clocks) Tables() []Table {
	clocks := Table{Caption: "How well lives line up by each clock",
		Head: []string{"Clock", "Behind the best", "Worse?", "Climates differ", "p of that"}}
	lives := Table{Caption: "Half of a coating’s patches were spent by (seen: the most that any patch met)",
		Head: []string{"Coating", "Clock", "Half spent by", confidence(c.Level) + " limits", "Seen"}}
	for _, row := range c.Rows {
		if row.Why != "" {
			continue
		}
		differ, p := "–", "–"
		if row.Climate != nil {
			differ, p = amount(row.Climate.Ratio)+"-fold", pWords(row.Climate.P)
		}
		clocks.add(clockWords(row.Clock), fmt.Sprintf("%.1f", row.Behind), row.worse(), differ, p)
	}
	if len(clocks.Rows) == 0 {
		return nil
	}
	for i := range c.firstLives() {
		for _, row := range c.Rows {
			if i < len(row.Lives) && row.telling() {
				l := row.Lives[i]
				lives.add(l.Coating, row.Clock.Unit(), amount(l.Median)+beyond(l), amount(l.Limits.Low)+"–"+amount(l.Limits.High), amount(l.Longest))
			}
		}
	}
	return []Table{clocks, lives}
}

// worse says whether a clock is worse than the best one.
func (row ClockRow) worse() string {
	switch {
	case row.Behind == 0:
		return "best"
	case row.AsGood:
		return "can’t tell (" + pSaid(row.P) + ")"
	}
	return "yes (" + pSaid(row.P) + ")"
}

// telling reports whether lives on the clock mean anything to a reader.
func (row ClockRow) telling() bool {
	switch row.Clock {
	case exposure.Months, exposure.UV, exposure.Washes:
		return true
	}
	return row.AsGood
}

// firstLives are those of the best clock; every clock has the same coatings.
func (c *Clocks) firstLives() []ClockLife {
	if len(c.Rows) == 0 {
		return nil
	}
	return c.Rows[0].Lives
}

func beyond(l ClockLife) string {
	if l.Extrapolated() {
		return " (beyond what was seen)"
	}
	return ""
}

// WriteJSON writes the comparison for machines.
func (c *Clocks) WriteJSON(w io.Writer) error {
	return writeRecord(w, "clocks", c.record())
}

type clocksRecord struct {
	Sentence string        `json:"sentence"`
	Level    float64       `json:"confidence_level"`
	Law      *string       `json:"distribution"`
	Vehicles int           `json:"n_vehicles"`
	Patches  int           `json:"n_patches"`
	Spent    int           `json:"n_spent"`
	LeftOut  int           `json:"n_left_out"`
	Climates []string      `json:"climates"`
	Clocks   []clockRecord `json:"clocks"`
	Notes    []string      `json:"notes"`
}

type clockRecord struct {
	Clock    exposure.Clock      `json:"clock"`
	Unit     string              `json:"unit"`
	Why      *string             `json:"not_compared_because"`
	LogLik   *float64            `json:"log_likelihood"`
	Behind   *float64            `json:"log_likelihood_behind_best"`
	P        *float64            `json:"p_value_adjusted"`
	AsGood   *bool               `json:"as_good_as_best"`
	Still    int                 `json:"n_spent_without_load"`
	Climate  *climateRecord      `json:"climate_within"`
	HalfLife []clockMedianRecord `json:"half_spent_by"`
}

type climateRecord struct {
	Longest   string   `json:"longest_in"`
	Shortest  string   `json:"shortest_in"`
	Ratio     float64  `json:"ratio"`
	ChiSquare float64  `json:"likelihood_ratio_chi_square"`
	DF        int      `json:"degrees_of_freedom"`
	P         *float64 `json:"p_value_robust"`
}

type clockMedianRecord struct {
	Coating      string   `json:"coating"`
	Vehicles     int      `json:"n_vehicles"`
	Patches      int      `json:"n_patches"`
	Spent        int      `json:"n_spent"`
	Median       *float64 `json:"median_in_unit"`
	Low          *float64 `json:"lower_in_unit"`
	High         *float64 `json:"upper_in_unit"`
	Longest      float64  `json:"longest_followed_in_unit"`
	Extrapolated bool     `json:"extrapolated"`
}

func (c *Clocks) record() clocksRecord {
	r := clocksRecord{Sentence: c.Sentence(), Level: c.Level, Vehicles: c.Vehicles, Patches: c.Patches, Spent: c.Spent,
		LeftOut: c.LeftOut, Climates: append([]string{}, c.Climates...), Clocks: []clockRecord{}, Notes: c.Notes}
	if c.Law != "" {
		r.Law = &c.Law
	}
	for _, row := range c.Rows {
		r.Clocks = append(r.Clocks, row.record())
	}
	return r
}

func (row ClockRow) record() clockRecord {
	r := clockRecord{Clock: row.Clock, Unit: row.Clock.Unit(), HalfLife: []clockMedianRecord{}}
	if row.Why != "" {
		r.Why = &row.Why
		return r
	}
	r.LogLik, r.Behind, r.P, r.AsGood, r.Still = &row.LogLik, &row.Behind, &row.P, &row.AsGood, row.Still
	if w := row.Climate; w != nil {
		r.Climate = &climateRecord{w.Longest, w.Shortest, w.Ratio, w.ChiSquare, w.DF, finite(w.P)}
	}
	for _, l := range row.Lives {
		r.HalfLife = append(r.HalfLife, clockMedianRecord{l.Coating, l.Vehicles, l.Patches, l.Spent,
			finite(l.Median), finite(l.Limits.Low), finite(l.Limits.High), l.Longest, l.Extrapolated()})
	}
	return r
}
