package ingest

import (
	"cmp"
	"fmt"

	"beadspan/study"
)

// readingTable has a column for each of so many drops.
func readingTable(drops int) table[readingRow] {
	fields := []field[readingRow]{
		textField(Column{Name: "vehicle", Required: true, Example: "V-017", Meaning: "code of the vehicle"},
			func(r *readingRow) *string { return &r.vehicle }),
		dateField(Column{Name: "date", Example: "2025-04-12", Meaning: "the day of the checkup"},
			func(r *readingRow) *study.Day { return &r.day }),
		wordField(Column{Name: "stage", Required: true, Example: "decon",
			Meaning: "when in the visit: as driven in, after the maintenance wash, or after a decontamination wash"},
			study.Stages(), func(r *readingRow) *study.Stage { return &r.Stage }),
		textField(Column{Name: "patch", Required: true, Example: "P1", Meaning: "code of the patch"},
			func(r *readingRow) *string { return &r.patch }),
	}
	for i := range drops {
		fields = append(fields, angleField(i))
	}
	return table[readingRow]{
		name: "checkups",
		note: func(r *readingRow) *string { return &r.Note },
		fields: append(fields,
			numberField(Column{Name: "sheet_time_s", Unit: "s", Example: "8.5", Meaning: "time from stopping the hose until nine tenths of the panel is clear"},
				func(r *readingRow) **float64 { return &r.SheetTimeS }),
			numberField(Column{Name: "wet_share_pct", Unit: "%", Example: "5", Meaning: "share of the panel still wet after a minute"},
				func(r *readingRow) **float64 { return &r.WetSharePct }),
			wholeField(Column{Name: "bead_grade", Example: "4", Meaning: "from 1, a closed sheet of water, to 5, round drops"},
				func(r *readingRow) **int { return &r.BeadGrade }),
			textField(Column{Name: "operator", Example: "AB", Meaning: "initials or staff code of who read it; no name"},
				func(r *readingRow) *string { return &r.operator }),
			textField(Column{Name: "visit_note", Example: "rain all day", Meaning: "anything else about the whole checkup, in one or all of its rows"},
				func(r *readingRow) *string { return &r.visitNote }),
			textField(Column{Name: "note", Example: "swirl marks", Meaning: "anything else about this reading"},
				func(r *readingRow) *string { return &r.Note }),
		),
	}
}

// readingRow is a reading as a row, with the checkup that it belongs to.
type readingRow struct {
	study.Reading
	vehicle, patch, operator, visitNote string
	day                                 study.Day
	// drops holds the number of the drop of each angle: people leave gaps.
	drops []int
}

func angleField(i int) field[readingRow] {
	c := Column{
		Name:    study.AngleColumn(i),
		Kind:    Number,
		Unit:    "degrees",
		Example: formatNumber(104 + float64(i%3)),
		Meaning: fmt.Sprintf("water contact angle of drop %d", i+1),
	}
	return field[readingRow]{c,
		func(r *readingRow, text string, _ dateReader) string {
			x, want := parseNumber(text, c.Unit)
			if want == "" {
				r.AnglesDeg = append(r.AnglesDeg, x)
				r.drops = append(r.drops, i)
			}
			return want
		},
		func(r *readingRow) string {
			if i < len(r.AnglesDeg) {
				return formatNumber(r.AnglesDeg[i])
			}
			return ""
		},
	}
}

type checkupKey struct {
	day      study.Day
	operator string
}

type readingKey struct {
	checkup int
	stage   study.Stage
}

func (r *reader) reading(l *line, row *readingRow) {
	l.check(row.problems())
	operator := r.operator(l, row.operator)
	vehicle, found := r.vehicles.find(l, "vehicle")
	if !found {
		return
	}
	patch, found := vehicle.patches.find(l, "patch")
	if row.day != 0 && row.day < vehicle.enrolled {
		l.problem("date", fmt.Sprintf("the vehicle is followed from %s: expected no checkup before", vehicle.enrolled))
	}
	if found && row.day != 0 && row.day < patch.applied {
		l.problem("date", fmt.Sprintf("the patch was coated on %s: expected no reading before", patch.applied))
	}
	if !found || l.bad {
		return
	}
	v := &r.fleet.Vehicles[vehicle.index]
	i := vehicle.checkup(v, checkupKey{row.day, row.operator}, operator)
	if first, twice := patch.read[readingKey{i, row.Stage}]; twice {
		l.problem("", fmt.Sprintf("this reading is in row %d already: same vehicle, date, stage, patch and operator", first))
		return
	}
	patch.read[readingKey{i, row.Stage}] = l.row
	c := &v.Checkups[i]
	if row.visitNote != "" && c.Note != "" && row.visitNote != c.Note {
		l.problem("visit_note", "an earlier row of the same checkup says something else: expected one note for both")
		return
	}
	c.Note = cmp.Or(c.Note, row.visitNote)
	row.PatchID = patch.id
	c.Readings = append(c.Readings, row.Reading)
}

// problems names the columns as the row has them, gaps included.
func (r *readingRow) problems() study.Problems {
	found := r.Validate()
	for i, p := range found {
		for j, drop := range r.drops {
			if p.Column == study.AngleColumn(j) {
				found[i].Column = study.AngleColumn(drop)
				break
			}
		}
	}
	return found
}

// checkup returns the place of a checkup of the vehicle, which begins with
// its first row.
func (k *knownVehicle) checkup(v *study.Vehicle, key checkupKey, operator *study.ID) int {
	i, known := k.checkups[key]
	if !known {
		i = len(v.Checkups)
		k.checkups[key] = i
		v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: key.day, OperatorID: operator})
	}
	return i
}
