package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var coatingTable = table{
	name:    "coating",
	key:     []string{"coating_id"},
	natural: []string{"code"},
	content: []string{"name", "control", "claim_low_months", "claim_high_months", "note"},
	blank:   map[string]string{"name": `''`, "note": `''`},
	label:   `'coating ' || t.code`,
	rows:    coatingRows,
	count:   func(n *study.Size) *int { return &n.Coatings },
}

func coatingRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, c := range f.Coatings {
			if !yield([]any{raw(c.ID), c.Code, c.Name, c.Control, c.ClaimLowMonths, c.ClaimHighMonths, c.Note}) {
				return
			}
		}
	}
}

// coatings lists the coatings on a study's patches.
func coatings(batch *pgx.Batch, of selection, into *[]study.Coating) {
	collect(batch, selectCoatings+`
		WHERE coating_id IN (
			SELECT p.coating_id
			FROM vehicle_code v
			JOIN patch p USING (vehicle_id)
			WHERE `+of.where+`
		)
		ORDER BY code`, of.id, into, scanCoating)
}

// selectCoatings is the statement that scanCoating reads rows of.
const selectCoatings = `
		SELECT coating_id, code, name, control, claim_low_months, claim_high_months, note
		FROM coating`

func scanCoating(row pgx.CollectableRow) (c study.Coating, err error) {
	err = row.Scan(&c.ID, &c.Code, &c.Name, &c.Control, &c.ClaimLowMonths, &c.ClaimHighMonths, &c.Note)
	return c, err
}
