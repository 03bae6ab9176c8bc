package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var careTable = table{
	name:    "care",
	key:     []string{"vehicle_id", "care_id"},
	natural: []string{"patch_id", "done_on", "kind"},
	content: []string{"operator_id", "note"},
	blank:   map[string]string{"note": `''`},
	label:   `concat_ws(' ', v.code, to_char(t.done_on, 'YYYY-MM-DD'), t.kind, p.code)`,
	joins: `JOIN vehicle_code v ON v.vehicle_id = t.vehicle_id
		LEFT JOIN patch p ON p.vehicle_id = t.vehicle_id AND p.patch_id = t.patch_id`,
	rows:  careRows,
	count: func(n *study.Size) *int { return &n.Care },
}

func careRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			for _, c := range v.Care {
				if !yield([]any{raw(v.ID), raw(c.ID), rawOrNull(c.PatchID), date(c.Day), string(c.Kind), rawOrNull(c.OperatorID), c.Note}) {
					return
				}
			}
		}
	}
}

// addCare reads a study's care into its vehicles, in order of day and kind,
// that of the whole vehicle first.
func (f *assembly) addCare(batch *pgx.Batch, of selection) {
	batch.Queue(`
		SELECT t.vehicle_id, t.care_id, t.patch_id, t.done_on, t.kind, t.operator_id, t.note
		FROM vehicle_code v
		JOIN care t USING (vehicle_id)
		LEFT JOIN patch p USING (vehicle_id, patch_id)
		WHERE `+of.where+`
		ORDER BY v.code, t.done_on, t.kind COLLATE "C", p.code NULLS FIRST`, of.id).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var vehicle study.ID
			var c study.Care
			if err := rows.Scan((*raw)(&vehicle), (*raw)(&c.ID), &c.PatchID, (*date)(&c.Day), &c.Kind, &c.OperatorID, &c.Note); err != nil {
				return err
			}
			v := f.vehicle(vehicle)
			v.Care = append(v.Care, c)
		}
		return rows.Err()
	})
}
