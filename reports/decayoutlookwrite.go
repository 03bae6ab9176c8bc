package reports

import (
	"fmt"
	"io"
	"strings"
)

// Tables hold the outlook of each patch that has one.
func (v *VehicleOutlook) Tables() []Table {
	var tables []Table
	for _, p := range v.Patches {
		if len(p.Points) == 0 {
			continue
		}
		t := Table{
			Caption: p.Finding(v.ThresholdDeg),
			Head:    []string{"Day", "Months", "Angle", confidence(v.Level) + " limits", "One reading", "Below " + degrees(v.ThresholdDeg)},
		}
		for _, at := range p.Points {
			months := months(at.MonthsInService)
			if at.Extrapolated {
				months += " *"
			}
			t.add(at.Day.String(), months, tenths(at.AngleDeg), angleLimits(at.Limits), angleLimits(at.ReadingLimits), chance(at.Below))
		}
		tables = append(tables, t)
	}
	return tables
}

func angleLimits(l Limits) string { return tenths(l.Low) + "–" + tenths(l.High) }

// WriteText writes the outlook for a terminal.
func (v *VehicleOutlook) WriteText(w io.Writer) error {
	var b strings.Builder
	extrapolated := false
	tables := v.Tables()
	for _, p := range v.Patches {
		if len(p.Points) == 0 {
			writeParagraph(&b, p.Finding(v.ThresholdDeg)+". "+p.Why)
		} else {
			b.WriteString(tables[0].text() + "\n")
			tables = tables[1:]
			extrapolated = extrapolated || p.Points[len(p.Points)-1].Extrapolated
		}
		for _, note := range p.Notes {
			writeNote(&b, note)
		}
		b.WriteString("\n")
	}
	if len(v.Patches) == 0 {
		writeNote(&b, "The vehicle has no coated patches.")
	}
	writeNote(&b, "Angles are of a clean panel. Below: the probability that the patch’s curve has come down by then. An estimate from this vehicle and others of the study, not a warranty.")
	if extrapolated {
		writeNote(&b, "* Later in service than any patch of its coating was read: this rests on the shape of the curve alone.")
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write outlook as text: %w", err)
	}
	return nil
}

// outlookRecord is a PatchOutlook as machines read it.
type outlookRecord struct {
	Patch    string              `json:"patch"`
	Coating  string              `json:"coating"`
	Standing string              `json:"standing"`
	Readings int                 `json:"n_clean_readings"`
	Why      *string             `json:"no_outlook_because"`
	Points   []angleOutlookPoint `json:"outlook"`
	Notes    []string            `json:"notes"`
}

type angleOutlookPoint struct {
	Day          string  `json:"day"`
	Months       float64 `json:"in_service_months"`
	Angle        float64 `json:"angle_deg"`
	Low          float64 `json:"angle_low_deg"`
	High         float64 `json:"angle_high_deg"`
	ReadingLow   float64 `json:"reading_low_deg"`
	ReadingHigh  float64 `json:"reading_high_deg"`
	Below        float64 `json:"probability_below_threshold"`
	Extrapolated bool    `json:"extrapolated"`
}

// WriteJSON writes the outlook for machines.
func (v *VehicleOutlook) WriteJSON(w io.Writer) error {
	patches := []outlookRecord{}
	for _, p := range v.Patches {
		r := outlookRecord{Patch: p.Patch, Coating: p.Coating, Standing: string(p.Standing), Readings: p.Readings, Why: name(p.Why),
			Points: []angleOutlookPoint{}, Notes: append([]string{}, p.Notes...)}
		for _, at := range p.Points {
			r.Points = append(r.Points, angleOutlookPoint{at.Day.String(), at.MonthsInService, at.AngleDeg, at.Limits.Low, at.Limits.High,
				at.ReadingLimits.Low, at.ReadingLimits.High, at.Below, at.Extrapolated})
		}
		patches = append(patches, r)
	}
	return writeRecord(w, "outlook", struct {
		Vehicle   string          `json:"vehicle"`
		On        string          `json:"on"`
		Level     float64         `json:"confidence_level"`
		Threshold float64         `json:"threshold_deg"`
		Patches   []outlookRecord `json:"patches"`
	}{v.Vehicle, v.On.String(), v.Level, v.ThresholdDeg, patches})
}
