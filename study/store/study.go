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
			INSERT INTO study (study_id, code, question, metric, threshold, confirm, estimand, wash_every_days, iron_every_days,
				decon_every_days, salt_decon_every_days, checkup_every_days, claim_low_pct, claim_high_pct, claim_confidence_pct)
			VALUES ($1, $2, $3, $4, $5, $6, $7, nullif($8, 0), nullif($9, 0), nullif($10, 0), nullif($11, 0), nullif($12, 0),
				$13, $14, $15)`,
			st.ID, st.Code, st.Question, string(st.Protocol.Metric), st.Protocol.Threshold, st.Protocol.Confirm,
			string(st.Protocol.Estimand), st.CarePlan.WashDays, st.CarePlan.IronDays, st.CarePlan.DeconDays,
			st.CarePlan.SaltDeconDays, st.CarePlan.CheckupDays,
			st.Protocol.Claim.LowPct, st.Protocol.Claim.HighPct, st.Protocol.Claim.ConfidencePct)
		err = explain(err)
	}
	if err != nil {
		return fmt.Errorf("add study %s: %w", st.Code, err)
	}
	return nil
}

// Studies lists all studies in order of code.
func (s *Store) Studies(ctx context.Context) ([]study.Study, error) {
	rows, err := s.db.Query(ctx, selectStudies+`ORDER BY code`)
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
	rows, err := s.db.Query(ctx, selectStudies+`WHERE code = $1`, code)
	if err != nil {
		return study.Study{}, fmt.Errorf("find study %s: %w", code, err)
	}
	st, err := pgx.CollectExactlyOneRow(rows, scanStudy)
	if err != nil {
		return study.Study{}, fmt.Errorf("find study %s: %w", code, orNotFound(err))
	}
	return st, nil
}

// SetCarePlan gives a study another care plan. It returns study.Problems if the
// plan is not valid and study.ErrNotFound if there is no such study.
func (s *Store) SetCarePlan(ctx context.Context, studyID study.ID, plan study.CarePlan) error {
	err := plan.Validate().OrNil()
	if err == nil {
		err = s.setCarePlan(ctx, studyID, plan)
	}
	if err != nil {
		return fmt.Errorf("set the care plan of study %s: %w", studyID, explain(err))
	}
	return nil
}

func (s *Store) setCarePlan(ctx context.Context, studyID study.ID, p study.CarePlan) error {
	tag, err := s.db.Exec(ctx, `
		UPDATE study
		SET revision = revision + 1, wash_every_days = nullif($2, 0), iron_every_days = nullif($3, 0), decon_every_days = nullif($4, 0),
			salt_decon_every_days = nullif($5, 0), checkup_every_days = nullif($6, 0)
		WHERE study_id = $1`, studyID, p.WashDays, p.IronDays, p.DeconDays, p.SaltDeconDays, p.CheckupDays)
	if err == nil && tag.RowsAffected() == 0 {
		return study.ErrNotFound
	}
	return err
}

// studyColumns are those of s, a row of study, that studyFields takes.
const studyColumns = `s.study_id, s.code, s.question, s.metric, s.threshold, s.confirm, s.estimand, coalesce(s.wash_every_days, 0),
			coalesce(s.iron_every_days, 0), coalesce(s.decon_every_days, 0), coalesce(s.salt_decon_every_days, 0),
			coalesce(s.checkup_every_days, 0), s.claim_low_pct, s.claim_high_pct, s.claim_confidence_pct`

// selectStudies is the statement that scanStudy reads rows of.
const selectStudies = `
		SELECT ` + studyColumns + `
		FROM study s
		`

func scanStudy(row pgx.CollectableRow) (st study.Study, err error) {
	err = row.Scan(studyFields(&st)...)
	return st, err
}

func studyFields(st *study.Study) []any {
	p, plan := &st.Protocol, &st.CarePlan
	return []any{&st.ID, &st.Code, &st.Question, &p.Metric, &p.Threshold, &p.Confirm, &p.Estimand,
		&plan.WashDays, &plan.IronDays, &plan.DeconDays, &plan.SaltDeconDays, &plan.CheckupDays,
		&p.Claim.LowPct, &p.Claim.HighPct, &p.Claim.ConfidencePct}
}

func studyExists(ctx context.Context, tx pgx.Tx, studyID study.ID) error {
	var one int
	err := tx.QueryRow(ctx, `SELECT 1 FROM study WHERE study_id = $1`, studyID).Scan(&one)
	if err != nil {
		return fmt.Errorf("study %s: %w", studyID, orNotFound(err))
	}
	return nil
}
