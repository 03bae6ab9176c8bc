package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// revise counts one change of a study's records. It is the last statement of
// every transaction that changes any, since others wait for the row from here
// to the end.
func revise(ctx context.Context, tx pgx.Tx, studyID study.ID) error {
	_, err := tx.Exec(ctx, `
		UPDATE study
		SET revision = revision + 1
		WHERE study_id = $1`, studyID)
	return err
}

// reviseAmended counts the change that accepting an amendment made: of the
// study of its vehicle or, for a coating or site, of all studies.
func reviseAmended(ctx context.Context, tx pgx.Tx, amendmentID study.ID) error {
	_, err := tx.Exec(ctx, `
		UPDATE study
		SET revision = revision + 1
		WHERE study_id IN (
			SELECT s.study_id
			FROM amendment a
			JOIN study s ON a.vehicle_id IS NULL
				OR s.study_id = (SELECT v.study_id FROM vehicle_code v WHERE v.vehicle_id = a.vehicle_id)
			WHERE a.amendment_id = $1
		)`, amendmentID)
	return err
}
