package reports

import (
	"io"

	"beadspan/stats/decay"
	"beadspan/study"
)

// WriteJSON writes the decays for machines: units in the key names, full
// precision, null for what is not estimable.
func (all Decays) WriteJSON(w io.Writer) error {
	records := []decayRecord{}
	for _, d := range all {
		records = append(records, d.record())
	}
	return writeRecord(w, "decays", map[string]any{"coatings": records})
}

// decayRecord is a Decay as machines read it.
type decayRecord struct {
	Coating   string   `json:"coating"`
	Level     float64  `json:"confidence_level"`
	Vehicles  int      `json:"n_vehicles"`
	Patches   int      `json:"n_patches"`
	Readings  int      `json:"n_clean_readings"`
	Threshold *float64 `json:"threshold_deg"`
	Control   *float64 `json:"uncoated_panels_deg"`

	LeastSquares *meanRecord        `json:"least_squares"`
	Population   *populationRecord  `json:"mixed_model"`
	Unmodelled   *string            `json:"mixed_model_not_estimable_because"`
	Implied      *impliedRecord     `json:"life_by_curves"`
	Agreement    *agreementRecord   `json:"life_by_checkups"`
	Panel        []patchCurveRecord `json:"patches"`
	Notes        []string           `json:"notes"`
}

type fallRecord struct {
	Outcome      *decay.Outcome `json:"threshold_outcome"`
	Months       *float64       `json:"threshold_months"`
	Low          *float64       `json:"threshold_low_months"`
	High         *float64       `json:"threshold_high_months"`
	Extrapolated *bool          `json:"threshold_extrapolated"`
}

// curveRecord holds the parameters of a curve.
type curveRecord struct {
	Floor   *float64 `json:"floor_deg"`
	FloorSE *float64 `json:"floor_se_deg"`
	Start   *float64 `json:"start_deg"`
	StartSE *float64 `json:"start_se_deg"`
	Tau     *float64 `json:"tau_days"`
	TauSE   *float64 `json:"tau_se_days"`
}

type meanRecord struct {
	Falls      bool        `json:"falls"`
	FloorState decay.State `json:"floor_state"`
	curveRecord
	fallRecord
	Curve []angleRecord `json:"curve"`
}

type populationRecord struct {
	Vehicles   int      `json:"n_vehicles"`
	Patches    int      `json:"n_patches"`
	Readings   int      `json:"n_clean_readings"`
	Shape      string   `json:"shape"`
	FloorKnown bool     `json:"floor_known"`
	VehicleSD  *float64 `json:"sd_log_tau_vehicles"`
	PatchSD    float64  `json:"sd_log_tau_patches"`
	StartSD    float64  `json:"sd_start_deg"`
	FloorSD    *float64 `json:"sd_floor_deg"`
	ReadingSD  float64  `json:"sd_reading_deg"`
	curveRecord
	Power   *float64 `json:"power"`
	PowerSE *float64 `json:"power_se"`
	fallRecord
	Rival *rivalRecord  `json:"other_shape"`
	Curve []angleRecord `json:"curve"`
	Notes []string      `json:"notes"`
}

// rivalRecord is the fall that was not chosen.
type rivalRecord struct {
	Shape    string  `json:"shape"`
	AICAbove float64 `json:"aic_above"`
	fallRecord
}

// angleRecord is a curve at one time; the limits of single readings only of the
// typical patch.
type angleRecord struct {
	Months      float64  `json:"months"`
	Angle       float64  `json:"angle_deg"`
	Low         *float64 `json:"angle_low_deg"`
	High        *float64 `json:"angle_high_deg"`
	ReadingLow  *float64 `json:"reading_low_deg,omitempty"`
	ReadingHigh *float64 `json:"reading_high_deg,omitempty"`
}

type patchCurveRecord struct {
	Vehicle string `json:"vehicle"`
	Patch   string `json:"patch"`
	fallRecord
	Readings []angleRead   `json:"clean_readings"`
	Curve    []angleRecord `json:"curve"`
}

type angleRead struct {
	Days  float64 `json:"days"`
	Angle float64 `json:"angle_deg"`
	Drops int     `json:"n_drops"`
}

func newCurveRecord(floor, start, tau Estimated) curveRecord {
	return curveRecord{finite(floor.Value), finite(floor.SE), finite(start.Value), finite(start.SE), finite(tau.Value), finite(tau.SE)}
}

func newFallRecord(x *decay.Crossing) fallRecord {
	if x == nil {
		return fallRecord{}
	}
	perMonth := func(days float64) *float64 { return finite(days / study.DaysPerMonth) }
	return fallRecord{&x.Outcome, perMonth(x.Time), perMonth(x.Lower), perMonth(x.Upper), &x.Extrapolated}
}

func angleRecords(mean []MeanAngle, spread []Limits) []angleRecord {
	records := []angleRecord{}
	for i, m := range mean {
		r := angleRecord{Months: m.Months, Angle: m.AngleDeg}
		if m.Limits != nil {
			r.Low, r.High = finite(m.Limits.Low), finite(m.Limits.High)
		}
		if i < len(spread) {
			r.ReadingLow, r.ReadingHigh = finite(spread[i].Low), finite(spread[i].High)
		}
		records = append(records, r)
	}
	return records
}

func (d Decay) record() decayRecord {
	r := decayRecord{
		Coating: d.Coating, Level: d.Level, Vehicles: d.Vehicles, Patches: d.Patches, Readings: len(d.Readings),
		Threshold: d.ThresholdDeg, Control: d.ControlDeg, Unmodelled: name(d.Unmodelled),
		Panel: []patchCurveRecord{}, Notes: append([]string{}, d.Notes...),
	}
	if c := d.Curve; c != nil {
		r.LeastSquares = &meanRecord{
			Falls: c.Falls, FloorState: c.Floor.State,
			curveRecord: newCurveRecord(Estimated{c.Floor.Value, c.Floor.SE}, Estimated{c.Start.Value, c.Start.SE}, Estimated{c.Tau.Value, c.Tau.SE}),
			fallRecord:  newFallRecord(d.Crossing), Curve: angleRecords(d.Mean, nil),
		}
	}
	p := d.Population
	if p == nil {
		return r
	}
	r.Population = p.record()
	for _, c := range p.Panel {
		patch := patchCurveRecord{Vehicle: c.Vehicle, Patch: c.Patch, fallRecord: newFallRecord(c.Crossing), Curve: angleRecords(c.Mean, nil)}
		for _, reading := range c.Readings {
			patch.Readings = append(patch.Readings, angleRead{reading.Days, reading.AngleDeg, reading.Drops})
		}
		r.Panel = append(r.Panel, patch)
	}
	r.Implied, r.Agreement = d.lifeRecords()
	return r
}

func (p *DecayPopulation) record() *populationRecord {
	r := &populationRecord{
		Vehicles: p.Vehicles, Patches: p.Patches, Readings: p.Readings, Shape: string(p.Shape),
		FloorKnown: p.FloorKnown, VehicleSD: p.VehicleSD, PatchSD: p.PatchSD, StartSD: p.StartSD, FloorSD: p.FloorSD, ReadingSD: p.ReadingSD,
		curveRecord: newCurveRecord(p.Floor, p.Start, p.Tau), fallRecord: newFallRecord(p.Crossing),
		Curve: angleRecords(p.Mean, p.Spread), Notes: append([]string{}, p.Notes...),
	}
	if p.Power != nil {
		r.Power, r.PowerSE = finite(p.Power.Value), finite(p.Power.SE)
	}
	if p.Rival != nil {
		r.Rival = &rivalRecord{string(p.Rival.Shape), p.Rival.AICAbove, newFallRecord(p.Rival.Crossing)}
	}
	return r
}
