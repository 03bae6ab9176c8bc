package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var checkupTable = table{
	name:    "checkup",
	key:     []string{"vehicle_id", "checkup_id"},
	natural: []string{"checked_on", "operator_id"},
	content: []string{"note"},
	blank:   map[string]string{"note": `''`},
	label:   `concat_ws(' ', v.code, to_char(t.checked_on, 'YYYY-MM-DD'), 'by ' || o.code)`,
	joins: `JOIN vehicle_code v ON v.vehicle_id = t.vehicle_id
		LEFT JOIN person o ON o.person_id = t.operator_id`,
	rows:  checkupRows,
	count: func(n *study.Size) *int { return &n.Checkups },
}

func checkupRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			for _, c := range v.Checkups {
				if !yield([]any{raw(v.ID), raw(c.ID), date(c.Day), rawOrNull(c.OperatorID), c.Note}) {
					return
				}
			}
		}
	}
}

// addCheckups reads a study's checkups into their vehicles, in order of day,
// the unknown operator first and the others in order of code.
func (f *assembly) addCheckups(batch *pgx.Batch, of selection) {
	batch.Queue(`
		SELECT t.vehicle_id, t.checkup_id, t.checked_on, t.operator_id, t.note
		FROM vehicle_code v
		JOIN checkup t USING (vehicle_id)
		LEFT JOIN person o ON o.person_id = t.operator_id
		WHERE `+of.where+`
		ORDER BY v.code, t.checked_on, o.code NULLS FIRST`, of.id).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var vehicle study.ID
			var c study.Checkup
			if err := rows.Scan((*raw)(&vehicle), (*raw)(&c.ID), (*date)(&c.Day), &c.OperatorID, &c.Note); err != nil {
				return err
			}
			v := f.vehicle(vehicle)
			v.Checkups = append(v.Checkups, c)
		}
		return rows.Err()
	})
}
