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

// Shops lists the shops that look after a study's vehicles, in order of code.
func (s *Store) Shops(ctx context.Context, studyID study.ID) (list []study.Shop, err error) {
	err = s.read(ctx, func(tx pgx.Tx) (err error) {
		list, err = shops(ctx, tx, ofStudy(studyID))
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list shops: %w", err)
	}
	return list, nil
}

// shops lists the shops of the vehicles.
func shops(ctx context.Context, tx pgx.Tx, of selection) ([]study.Shop, error) {
	rows, err := tx.Query(ctx, `
		SELECT shop_id, code
		FROM shop
		WHERE shop_id IN (
			SELECT t.shop_id
			FROM vehicle_code v
			JOIN vehicle t USING (vehicle_id)
			WHERE `+of.where+`
		)
		ORDER BY code`, of.id)
	if err != nil {
		return nil, err
	}
	return pgx.AppendRows([]study.Shop(nil), rows, func(row pgx.CollectableRow) (s study.Shop, err error) {
		err = row.Scan(&s.ID, &s.Code)
		return s, err
	})
}
