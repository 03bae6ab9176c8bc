package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddCoating stores a coating and puts it down for a study, so that Coatings
// lists it before any patch has it. It follows the rules of LoadAs: a code
// stored before, which may be another study's, stays as it is, and where c
// differs from it an amendment is proposed.
//
// It returns study.Problems if the coating is not valid, and study.ErrNotFound
// if there is no such study.
func (s *Store) AddCoating(ctx context.Context, studyID study.ID, c study.Coating, how Loading) (Loaded, error) {
	loaded, err := s.putDown(ctx, studyID, study.Fleet{Coatings: []study.Coating{c}}, how, `
		INSERT INTO study_coating (study_id, coating_id)
		SELECT $1, coating_id
		FROM coating
		WHERE code = $2
		ON CONFLICT (study_id, coating_id) DO NOTHING`, c.Code)
	if err != nil {
		return Loaded{}, fmt.Errorf("add coating %s: %w", c.Code, err)
	}
	return loaded, nil
}

// AddShop stores a shop, unless its code is stored, and puts it down for a
// study, so that Shops lists it before any vehicle is there. Its errors are
// those of AddCoating.
func (s *Store) AddShop(ctx context.Context, studyID study.ID, shop study.Shop) (Loaded, error) {
	loaded, err := s.putDown(ctx, studyID, study.Fleet{Shops: []study.Shop{shop}}, Loading{}, `
		INSERT INTO study_shop (study_id, shop_id)
		SELECT $1, shop_id
		FROM shop
		WHERE code = $2
		ON CONFLICT (study_id, shop_id) DO NOTHING`, shop.Code)
	if err != nil {
		return Loaded{}, fmt.Errorf("add shop %s: %w", shop.Code, err)
	}
	return loaded, nil
}

// putDown stores a fleet of one record, and runs the statement that puts the
// record of that code down for the study.
func (s *Store) putDown(ctx context.Context, studyID study.ID, f study.Fleet, how Loading, statement, code string) (loaded Loaded, err error) {
	if err := check(f).OrNil(); err != nil {
		return loaded, err
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		if err := studyExists(ctx, tx, studyID); err != nil {
			return err
		}
		if err := oneLoadAtATime(ctx, tx); err != nil {
			return err
		}
		if loaded, err = loadInto(ctx, tx, studyID, f, how); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, statement, studyID, code)
		return err
	})
	return loaded, explain(err)
}

// Coatings lists the coatings of a study, those on its patches and those put
// down for it, in order of code.
func (s *Store) Coatings(ctx context.Context, studyID study.ID) ([]study.Coating, error) {
	rows, err := s.db.Query(ctx, selectCoatings+`
		WHERE coating_id IN (
			SELECT p.coating_id
			FROM vehicle_code v
			JOIN patch p USING (vehicle_id)
			WHERE v.study_id = $1
			UNION ALL
			SELECT coating_id
			FROM study_coating
			WHERE study_id = $1
		)
		ORDER BY code`, studyID)
	if err != nil {
		return nil, fmt.Errorf("list coatings: %w", err)
	}
	list, err := pgx.CollectRows(rows, scanCoating)
	if err != nil {
		return nil, fmt.Errorf("list coatings: %w", err)
	}
	return list, nil
}

// PutDown reads the coatings and the shops that were put down for a study, each
// in order of code: few, and found without a look at its vehicles.
func (s *Store) PutDown(ctx context.Context, studyID study.ID) (f study.Fleet, err error) {
	batch := &pgx.Batch{}
	collect(batch, selectCoatings+`
		JOIN study_coating USING (coating_id)
		WHERE study_id = $1
		ORDER BY code`, studyID, &f.Coatings, scanCoating)
	collect(batch, `
		SELECT shop_id, code
		FROM shop
		JOIN study_shop USING (shop_id)
		WHERE study_id = $1
		ORDER BY code`, studyID, &f.Shops, scanShop)
	if err := s.db.SendBatch(ctx, batch).Close(); err != nil {
		return study.Fleet{}, fmt.Errorf("read what was put down for a study: %w", err)
	}
	return f, nil
}
