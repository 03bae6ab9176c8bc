package store

import (
	"context"
	"fmt"
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var shopTable = table{
	name:    "shop",
	key:     []string{"shop_id"},
	natural: []string{"code"},
	rows:    shopRows,
	count:   func(n *study.Size) *int { return &n.Shops },
}

func shopRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, s := range f.Shops {
			if !yield([]any{raw(s.ID), s.Code}) {
				return
			}
		}
	}
}

// Shops lists the shops of a study, those that look after its vehicles and
// those put down for it, in order of code.
func (s *Store) Shops(ctx context.Context, studyID study.ID) (list []study.Shop, err error) {
	rows, err := s.db.Query(ctx, `
		SELECT s.shop_id, s.code
		FROM shop s
		WHERE s.shop_id IN (SELECT shop_id FROM study_shop WHERE study_id = $1) OR (
			SELECT true
			FROM vehicle t
			JOIN vehicle_code v USING (vehicle_id)
			WHERE t.shop_id = s.shop_id AND v.study_id = $1
			LIMIT 1
		)
		ORDER BY s.code`, studyID)
	if err == nil {
		list, err = pgx.AppendRows(list, rows, scanShop)
	}
	if err != nil {
		return nil, fmt.Errorf("list shops: %w", err)
	}
	return list, nil
}

func scanShop(row pgx.CollectableRow) (s study.Shop, err error) {
	err = row.Scan(&s.ID, &s.Code)
	return s, err
}

// shops lists the shops of the vehicles.
func shops(batch *pgx.Batch, of selection, into *[]study.Shop) {
	collect(batch, `
		SELECT shop_id, code
		FROM shop
		WHERE shop_id IN (
			SELECT t.shop_id
			FROM vehicle_code v
			JOIN vehicle t USING (vehicle_id)
			WHERE `+of.where+`
		)
		ORDER BY code`, of.id, into, scanShop)
}
