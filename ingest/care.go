package ingest

import (
	"fmt"

	"beadspan/study"
)

func careTable() table[careRow] {
	return table[careRow]{
		name: "care",
		note: func(c *careRow) *string { return &c.Note },
		fields: []field[careRow]{
			textField(Column{Name: "vehicle", Required: true, Example: "V-017", Meaning: "code of the vehicle"},
				func(c *careRow) *string { return &c.vehicle }),
			dateField(Column{Name: "date", Example: "2025-04-12", Meaning: "the day on which it was done"},
				func(c *careRow) *study.Day { return &c.Day }),
			wordField(Column{Name: "kind", Required: true, Example: "maintenance_wash", Meaning: "what was done"},
				study.CareKinds(), func(c *careRow) *study.CareKind { return &c.Kind }),
			textField(Column{Name: "patch", Example: "P1", Meaning: "code of the patch; blank: the whole vehicle"},
				func(c *careRow) *string { return &c.patch }),
			textField(Column{Name: "operator", Example: "AB", Meaning: "initials or staff code of who did it; no name"},
				func(c *careRow) *string { return &c.operator }),
			textField(Column{Name: "note", Example: "pH-neutral shampoo", Meaning: "anything else"},
				func(c *careRow) *string { return &c.Note }),
		},
	}
}

// careRow is care as a row, which names vehicle, patch and operator by code.
type careRow struct {
	study.Care
	vehicle, patch, operator string
}

// careKey is what makes two rows the same care.
type careKey struct {
	day   study.Day
	kind  study.CareKind
	patch string // empty: the whole vehicle
}

// care may be dated before the coating: a vehicle has a life before it.
func (r *reader) care(l *line, row *careRow) {
	l.check(row.Validate())
	row.OperatorID = r.operator(l, row.operator)
	vehicle, found := r.vehicles.find(l, "vehicle")
	if !found {
		return
	}
	if row.patch != "" {
		patch, _ := vehicle.patches.find(l, "patch")
		row.PatchID = &patch.id
	}
	if l.bad {
		return
	}
	key := careKey{row.Day, row.Kind, row.patch}
	if first, twice := vehicle.care[key]; twice {
		l.problem("", fmt.Sprintf("this care is in row %d already: same vehicle, date, kind and patch", first))
		return
	}
	vehicle.care[key] = l.row
	row.ID = study.NewID()
	v := &r.fleet.Vehicles[vehicle.index]
	v.Care = append(v.Care, row.Care)
	r.warn(l, v.WarningsOf(row.Care))
}
