package ingest

import "beadspan/study"

func patchTable() table[patchRow] {
	return table[patchRow]{
		name: "patches",
		note: func(p *patchRow) *string { return &p.Note },
		fields: []field[patchRow]{
			textField(Column{Name: "vehicle", Required: true, Example: "V-017", Meaning: "code of the vehicle"},
				func(p *patchRow) *string { return &p.vehicle }),
			textField(Column{Name: "code", Required: true, Example: "P1", Meaning: "code of the patch, unique on its vehicle"},
				func(p *patchRow) *string { return &p.Code }),
			textField(Column{Name: "coating", Required: true, Example: "C-20", Meaning: "code of the coating"},
				func(p *patchRow) *string { return &p.coating }),
			textField(Column{Name: "panel", Required: true, Example: "bonnet", Meaning: "which panel"},
				func(p *patchRow) *string { return &p.Panel }),
			wordField(Column{Name: "orientation", Required: true, Example: "horizontal", Meaning: "which way the panel faces"},
				study.Orientations(), func(p *patchRow) *study.Orientation { return &p.Orientation }),
			wordField(Column{Name: "substrate", Required: true, Example: "film", Meaning: "what lies under the coating: paint, clear film or coloured wrap"},
				study.Substrates(), func(p *patchRow) *study.Substrate { return &p.Substrate }),
			wordField(Column{Name: "finish", Required: true, Example: "gloss", Meaning: "sheen of the substrate"},
				study.Finishes(), func(p *patchRow) *study.Finish { return &p.Finish }),
			dateField(Column{Name: "applied", Example: "2025-03-03", Meaning: "the day on which the last layer was laid"},
				func(p *patchRow) *study.Day { return &p.Applied }),
			wholeField(Column{Name: "layers", Example: "2", Meaning: "how many layers"},
				func(p *patchRow) **int { return &p.Job.Layers }),
			numberField(Column{Name: "layer_interval_h", Unit: "h", Example: "1.5", Meaning: "time between layers"},
				func(p *patchRow) **float64 { return &p.Job.LayerIntervalH }),
			numberField(Column{Name: "flash_s", Unit: "s", Example: "90", Meaning: "time from spreading to levelling"},
				func(p *patchRow) **float64 { return &p.Job.FlashS }),
			numberField(Column{Name: "air_temp_c", Unit: "°C", Example: "19.5", Meaning: "air temperature at the job"},
				func(p *patchRow) **float64 { return &p.Job.AirTempC }),
			numberField(Column{Name: "humidity_pct", Unit: "%", Example: "55", Meaning: "relative humidity at the job"},
				func(p *patchRow) **float64 { return &p.Job.HumidityPct }),
			numberField(Column{Name: "prep_alcohol_pct", Unit: "%", Example: "40", Meaning: "share of isopropyl alcohol in the prep wipe"},
				func(p *patchRow) **float64 { return &p.Job.PrepAlcoholPct }),
			numberField(Column{Name: "keep_dry_h", Unit: "h", Example: "24", Meaning: "time kept dry after the last layer; service begins when it ends"},
				func(p *patchRow) **float64 { return &p.Job.KeepDryH }),
			numberField(Column{Name: "days_to_first_wash", Unit: "days", Example: "10", Meaning: "time to the first wash"},
				func(p *patchRow) **float64 { return &p.Job.DaysToFirstWash }),
			textField(Column{Name: "note", Example: "second attempt", Meaning: "anything else"},
				func(p *patchRow) *string { return &p.Note }),
		},
	}
}

// patchRow is a patch as a row, which names vehicle and coating by code.
type patchRow struct {
	study.Patch
	vehicle, coating string
}

// knownPatch is what checkups and care need to know of a patch.
type knownPatch struct {
	id      study.ID
	applied study.Day
	// read holds the row of each reading, by checkup and stage.
	read map[readingKey]int
}

func (r *reader) patch(l *line, p *patchRow) {
	p.ID = study.NewID()
	p.CoatingID, _ = r.coatings.find(l, "coating")
	vehicle, found := r.vehicles.find(l, "vehicle")
	l.check(p.Validate())
	if !found {
		return
	}
	known := knownPatch{id: p.ID, applied: p.Applied, read: map[readingKey]int{}}
	if vehicle.patches.define(l, known) {
		v := &r.fleet.Vehicles[vehicle.index]
		v.Patches = append(v.Patches, p.Patch)
		r.warn(l, p.Job.Warnings())
	}
}
