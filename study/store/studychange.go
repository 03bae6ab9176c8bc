package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// ErrStudyChanged says that a study was changed by somebody else meanwhile.
var ErrStudyChanged = errors.New("the study was changed meanwhile")

// AmendStudy gives a study another question, protocol and care plan, if it
// still is as before says, and keeps who did so and why. It returns
// study.Problems if after is not valid, ErrStudyChanged, or study.ErrNotFound.
// Where the two don't differ it does nothing.
func (s *Store) AmendStudy(ctx context.Context, before, after study.Study, accountID study.ID, why string) error {
	err := after.Validate().OrNil()
	changes := before.Differences(after)
	if err == nil && len(changes) > 0 {
		err = s.write(ctx, func(tx pgx.Tx) error {
			if err := isStill(ctx, tx, before); err != nil {
				return err
			}
			if err := putStudy(ctx, tx, after); err != nil {
				return err
			}
			_, err := tx.Exec(ctx, `
				INSERT INTO study_change (study_id, change_id, account_id, why, changes)
				VALUES ($1, $2, $3, $4, $5)`, after.ID, study.NewID(), accountID, why, changes)
			if err != nil {
				return err
			}
			return revise(ctx, tx, after.ID)
		})
	}
	if err != nil {
		return fmt.Errorf("amend study %s: %w", before.Code, explain(err))
	}
	return nil
}

// isStill checks that the study reads as st does, and keeps others from
// changing it until the transaction ends.
func isStill(ctx context.Context, tx pgx.Tx, st study.Study) error {
	rows, err := tx.Query(ctx, selectStudies+`WHERE study_id = $1 FOR UPDATE`, st.ID)
	if err != nil {
		return err
	}
	now, err := pgx.CollectExactlyOneRow(rows, scanStudy)
	if err != nil {
		return orNotFound(err)
	}
	if now != st {
		return ErrStudyChanged
	}
	return nil
}

func putStudy(ctx context.Context, tx pgx.Tx, st study.Study) error {
	p, plan := st.Protocol, st.CarePlan
	_, err := tx.Exec(ctx, `
		UPDATE study
		SET question = $2, metric = $3, threshold = $4, confirm = $5, estimand = $6, wash_every_days = nullif($7, 0),
			iron_every_days = nullif($8, 0), decon_every_days = nullif($9, 0), salt_decon_every_days = nullif($10, 0),
			checkup_every_days = nullif($11, 0), claim_low_pct = $12, claim_high_pct = $13, claim_confidence_pct = $14
		WHERE study_id = $1`, st.ID, st.Question, string(p.Metric), p.Threshold, p.Confirm, string(p.Estimand),
		plan.WashDays, plan.IronDays, plan.DeconDays, plan.SaltDeconDays, plan.CheckupDays,
		p.Claim.LowPct, p.Claim.HighPct, p.Claim.ConfidencePct)
	return err
}

// StudyChanges lists what was changed of a study's rules, the latest first.
func (s *Store) StudyChanges(ctx context.Context, studyID study.ID) ([]study.StudyChange, error) {
	rows, err := s.db.Query(ctx, `
		SELECT c.recorded_at, a.name, c.why, c.changes
		FROM study_change c
		JOIN account a USING (account_id)
		WHERE c.study_id = $1
		ORDER BY c.recorded_at DESC, c.change_id DESC`, studyID)
	if err != nil {
		return nil, fmt.Errorf("list the changes of a study: %w", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (c study.StudyChange, err error) {
		err = row.Scan(&c.At, &c.By, &c.Why, &c.Changes)
		return c, err
	})
	if err != nil {
		return nil, fmt.Errorf("list the changes of a study: %w", err)
	}
	return list, nil
}
