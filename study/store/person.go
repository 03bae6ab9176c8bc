package store

import (
	"context"
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var personTable = table{
	name:    "person",
	key:     []string{"person_id"},
	natural: []string{"code"},
	rows:    personRows,
	count:   func(n *study.Size) *int { return &n.People },
}

func personRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, p := range f.People {
			if !yield([]any{raw(p.ID), p.Code}) {
				return
			}
		}
	}
}

// people lists who read or cared for a study's vehicles.
func people(batch *pgx.Batch, of selection, into *[]study.Person) {
	collect(batch, `
		SELECT person_id, code
		FROM person
		WHERE person_id IN (
			SELECT c.operator_id
			FROM vehicle_code v
			JOIN checkup c USING (vehicle_id)
			WHERE `+of.where+`
			UNION
			SELECT c.operator_id
			FROM vehicle_code v
			JOIN care c USING (vehicle_id)
			WHERE `+of.where+`
		)
		ORDER BY code`, of.id, into, func(row pgx.CollectableRow) (p study.Person, err error) {
		err = row.Scan(&p.ID, &p.Code)
		return p, err
	})
}

// ensurePerson finds the person of that code, or adds one.
func ensurePerson(ctx context.Context, tx pgx.Tx, code string) (id study.ID, err error) {
	p := study.Person{ID: study.NewID(), Code: code}
	if err := p.Validate().OrNil(); err != nil {
		return id, err
	}
	_, err = tx.Exec(ctx, `
		INSERT INTO person (person_id, code)
		VALUES ($1, $2)
		ON CONFLICT (code) DO NOTHING`, p.ID, p.Code)
	if err != nil {
		return id, err
	}
	err = tx.QueryRow(ctx, `SELECT person_id FROM person WHERE code = $1`, code).Scan(&id)
	return id, err
}
