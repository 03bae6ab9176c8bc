package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"beadspan/study/exposure"
)

// Tables holds all tables that have rows.
func (c *ClimateLife) Tables() []Table {
	var tables []Table
	for _, t := range []Table{c.LifeTable(), c.OutlookTable(), c.WeatherTable(), c.FactorTable()} {
		if len(t.Rows) > 0 {
			tables = append(tables, t)
		}
	}
	return tables
}

// WriteText writes life by climate for a terminal: the answer, the tables, and
// the notes.
func (c *ClimateLife) WriteText(w io.Writer) error {
	var b strings.Builder
	writeParagraph(&b, c.Sentence())
	for _, t := range c.Tables() {
		b.WriteString("\n" + t.text() + "\n")
	}
	b.WriteString("\n")
	for _, note := range []string{c.OutlookWords(), c.FactorWords()} {
		if note != "" {
			writeNote(&b, note)
		}
	}
	for _, note := range c.Notes {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write life by climate as text: %w", err)
	}
	return nil
}

// WriteJSON writes life by climate for machines: units in the key names, null
// for what is not estimable.
func (c *ClimateLife) WriteJSON(w io.Writer) error {
	return writeRecord(w, "life by climate", c.record())
}

// climateLifeRecord is ClimateLife as machines read it.
type climateLifeRecord struct {
	Sentence   string           `json:"sentence"`
	Level      float64          `json:"confidence_level"`
	Law        *string          `json:"distribution"`
	Refused    *string          `json:"not_pooled_because"`
	ClimateSD  *float64         `json:"sd_log_life_between_climates"`
	CellSD     *float64         `json:"sd_log_life_coating_within_climate"`
	Rows       []climateRowJSON `json:"rows"`
	Coatings   []outlookJSON    `json:"coatings"`
	Climates   []climateJSON    `json:"climates"`
	Loads      []loadJSON       `json:"loads"`
	Conditions []conditionJSON  `json:"conditions"`
	Notes      []string         `json:"notes"`
}

type halfLifeJSON struct {
	Months float64  `json:"median_life_months"`
	Low    *float64 `json:"median_life_low_months"`
	High   *float64 `json:"median_life_high_months"`
}

type climateRowJSON struct {
	Coating       string        `json:"coating"`
	Climate       string        `json:"climate"`
	Vehicles      int           `json:"n_vehicles"`
	Patches       int           `json:"n_patches"`
	Spent         int           `json:"n_spent_patches"`
	VehicleMonths float64       `json:"watched_vehicle_months"`
	Longest       float64       `json:"longest_follow_up_months"`
	Pooled        *halfLifeJSON `json:"pooled"`
	Own           *halfLifeJSON `json:"by_itself"`
	More          *float64      `json:"more_vehicle_months_for_30_percent"`
}

type outlookJSON struct {
	Coating  string        `json:"coating"`
	Middling *halfLifeJSON `json:"middling_climate"`
	NewPlace *halfLifeJSON `json:"one_climate_not_in_study"`
	Longest  float64       `json:"longest_follow_up_months"`
}

type climateJSON struct {
	Class    string                     `json:"class"`
	Words    string                     `json:"class_words"`
	Vehicles int                        `json:"n_vehicles"`
	Loads    map[exposure.Clock]float64 `json:"loads_a_year"`
}

type loadJSON struct {
	Load     exposure.Clock `json:"load"`
	Step     float64        `json:"step_a_year"`
	Unit     string         `json:"unit"`
	Why      *string        `json:"not_told_because"`
	Ratio    *float64       `json:"life_ratio"`
	Low      *float64       `json:"life_ratio_low"`
	High     *float64       `json:"life_ratio_high"`
	P        *float64       `json:"p_value"`
	Climates int            `json:"n_climates"`
}

type conditionJSON struct {
	Name  string   `json:"condition"`
	Ratio float64  `json:"life_ratio"`
	Low   *float64 `json:"life_ratio_low"`
	High  *float64 `json:"life_ratio_high"`
	P     *float64 `json:"p_value"`
}

func (h *HalfLife) record() *halfLifeJSON {
	if h == nil {
		return nil
	}
	return &halfLifeJSON{h.Months, finite(h.Limits.Low), finite(h.Limits.High)}
}

func (c *ClimateLife) record() climateLifeRecord {
	r := climateLifeRecord{Sentence: c.Sentence(), Level: c.Level, Law: name(c.Law), Refused: name(c.Refused),
		ClimateSD: c.ClimateSD, CellSD: c.CellSD, Rows: []climateRowJSON{}, Coatings: []outlookJSON{},
		Climates: []climateJSON{}, Loads: []loadJSON{}, Conditions: []conditionJSON{}, Notes: append([]string{c.OutlookWords(), c.FactorWords()}, c.Notes...)}
	r.Notes = slices.DeleteFunc(r.Notes, func(note string) bool { return note == "" })
	for _, row := range c.Rows {
		r.Rows = append(r.Rows, climateRowJSON{row.Coating, row.Climate, row.Vehicles, row.Patches, row.Spent,
			row.VehicleMonths, row.LongestMonths, row.Pooled.record(), row.Own.record(), row.MoreVehicleMonths})
	}
	for _, o := range c.Coatings {
		r.Coatings = append(r.Coatings, outlookJSON{o.Coating, o.Middling.record(), o.NewPlace.record(), o.LongestMonths})
	}
	for _, at := range c.Climates {
		r.Climates = append(r.Climates, climateJSON(at))
	}
	for _, l := range c.Loads {
		record := loadJSON{Load: l.Clock, Step: l.Step, Unit: l.Unit, Why: name(l.Why), Climates: l.Climates}
		if l.Why == "" {
			record.Ratio, record.Low, record.High, record.P = finite(l.Ratio), finite(l.Limits.Low), finite(l.Limits.High), finite(l.P)
		}
		r.Loads = append(r.Loads, record)
	}
	for _, k := range c.Conditions {
		r.Conditions = append(r.Conditions, conditionJSON{k.Name, k.Ratio, finite(k.Limits.Low), finite(k.Limits.High), finite(k.P)})
	}
	return r
}
