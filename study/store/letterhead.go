package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// PutLetterhead stores what stands at the head of a shop's letters, in place of
// what did before. It returns study.Problems if h is not valid.
func (s *Store) PutLetterhead(ctx context.Context, h study.Letterhead) error {
	err := h.Validate().OrNil()
	if err == nil {
		_, err = s.db.Exec(ctx, `
			INSERT INTO letterhead (study_id, of_id, name, logo_png)
			VALUES ($1, $2, $3, $4)
			ON CONFLICT (study_id, of_id) DO UPDATE
			SET name = excluded.name, logo_png = excluded.logo_png`, h.StudyID, headOf(h), h.Name, h.LogoPNG)
	}
	if err != nil {
		return fmt.Errorf("store a letterhead: %w", explain(err))
	}
	return nil
}

// headOf is the shop that the letterhead is of, or the study for none.
func headOf(h study.Letterhead) study.ID {
	if h.ShopID == nil {
		return h.StudyID
	}
	return *h.ShopID
}

// Letterheads lists those of a study.
func (s *Store) Letterheads(ctx context.Context, studyID study.ID) ([]study.Letterhead, error) {
	rows, err := s.db.Query(ctx, `
		SELECT study_id, nullif(of_id, study_id), name, logo_png
		FROM letterhead
		WHERE study_id = $1
		ORDER BY of_id`, studyID)
	if err != nil {
		return nil, fmt.Errorf("list letterheads: %w", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (h study.Letterhead, err error) {
		err = row.Scan(&h.StudyID, &h.ShopID, &h.Name, &h.LogoPNG)
		return h, err
	})
	if err != nil {
		return nil, fmt.Errorf("list letterheads: %w", err)
	}
	return list, nil
}
