package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddStudy stores a new study. It returns study.Problems if the study is not
// valid or its code is taken.
func (s *Store) AddStudy(ctx context.Context, st study.Study) error {
	err := st.Validate().OrNil()
	if err == nil {
		_, err = s.db.Exec(ctx, `
			INSERT INTO study (study_id, code, question, metric, threshold, confirm, estimand)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			st.ID, st.Code, st.Question, string(st.Protocol.Metric), st.Protocol.Threshold, st.Protocol.Confirm,
			string(st.Protocol.Estimand))
		err = explain(err)
	}
	if err != nil {
		return fmt.Errorf("add study %s: %w", st.Code, err)
	}
	return nil
}

// Studies lists all studies in order of code.
func (s *Store) Studies(ctx context.Context) ([]study.Study, error) {
	rows, err := s.db.Query(ctx, `
		SELECT study_id, code, question, metric, threshold, confirm, estimand
		FROM study
		ORDER BY code`)
	if err != nil {
		return nil, fmt.Errorf("list studies: %w", err)
	}
	studies, err := pgx.CollectRows(rows, scanStudy)
	if err != nil {
		return nil, fmt.Errorf("list studies: %w", err)
	}
	return studies, nil
}

// StudyByCode finds a study. It returns study.ErrNotFound if there is none of
// that code.
func (s *Store) StudyByCode(ctx context.Context, code string) (study.Study, error) {
	rows, err := s.db.Query(ctx, `
		SELECT study_id, code, question, metric, threshold, confirm, estimand
		FROM study
		WHERE code = $1`, code)
	if err != nil {
		return study.Study{}, fmt.Errorf("find study %s: %w", code, err)
	}
	st, err := pgx.CollectExactlyOneRow(rows, scanStudy)
	if err != nil {
		return study.Study{}, fmt.Errorf("find study %s: %w", code, orNotFound(err))
	}
	return st, nil
}

func scanStudy(row pgx.CollectableRow) (st study.Study, err error) {
	p := &st.Protocol
	err = row.Scan(&st.ID, &st.Code, &st.Question, &p.Metric, &p.Threshold, &p.Confirm, &p.Estimand)
	return st, err
}

func studyExists(ctx context.Context, tx pgx.Tx, studyID study.ID) error {
	var one int
	err := tx.QueryRow(ctx, `SELECT 1 FROM study WHERE study_id = $1`, studyID).Scan(&one)
	if err != nil {
		return fmt.Errorf("study %s: %w", studyID, orNotFound(err))
	}
	return nil
}
