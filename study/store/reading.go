package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var readingTable = table{
	name:    "reading",
	key:     []string{"vehicle_id", "checkup_id", "patch_id", "stage"},
	content: []string{"angles_deg", "sheet_time_s", "wet_share_pct", "bead_grade", "note"},
	blank:   map[string]string{"angles_deg": `'{}'`, "note": `''`},
	label:   `concat_ws(' ', v.code, to_char(c.checked_on, 'YYYY-MM-DD'), t.stage, p.code, 'by ' || o.code)`,
	joins: `JOIN vehicle_code v ON v.vehicle_id = t.vehicle_id
		JOIN checkup c ON c.vehicle_id = t.vehicle_id AND c.checkup_id = t.checkup_id
		JOIN patch p ON p.vehicle_id = t.vehicle_id AND p.patch_id = t.patch_id
		LEFT JOIN person o ON o.person_id = c.operator_id`,
	rows:  readingRows,
	count: func(n *study.Size) *int { return &n.Readings },
}

func readingRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			for _, c := range v.Checkups {
				for _, r := range c.Readings {
					if !yield([]any{raw(v.ID), raw(c.ID), raw(r.PatchID), string(r.Stage), values(r.AnglesDeg), r.SheetTimeS, r.WetSharePct,
						r.BeadGrade, r.Note}) {
						return
					}
				}
			}
		}
	}
}

// addReadings reads a study's readings into their checkups, by patch in order
// of code, then by stage in order of the visit.
func (f *assembly) addReadings(batch *pgx.Batch, of selection) {
	batch.Queue(`
		SELECT t.vehicle_id, t.checkup_id, t.patch_id, t.stage, t.angles_deg, t.sheet_time_s, t.wet_share_pct, t.bead_grade,
			t.note
		FROM vehicle_code v
		JOIN reading t USING (vehicle_id)
		JOIN patch p USING (vehicle_id, patch_id)
		WHERE `+of.where+`
		ORDER BY v.code, t.checkup_id, p.code, array_position(ARRAY['arrival', 'washed', 'decon'], t.stage)`, of.id).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var vehicle, checkup study.ID
			var r study.Reading
			err := rows.Scan((*raw)(&vehicle), (*raw)(&checkup), (*raw)(&r.PatchID), &r.Stage, &r.AnglesDeg, &r.SheetTimeS, &r.WetSharePct, &r.BeadGrade,
				&r.Note)
			if err != nil {
				return err
			}
			r.AnglesDeg = orNil(r.AnglesDeg)
			c := f.checkup(vehicle, checkup)
			c.Readings = append(c.Readings, r)
		}
		return rows.Err()
	})
}
