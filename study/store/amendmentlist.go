package store

import (
	"context"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AmendmentQuery asks for a page of a list of amendments.
type AmendmentQuery struct {
	State study.AmendmentState // empty: all
	Skip  int                  // how many are on the pages before
	Limit int
}

// AmendmentsIn lists the amendments of the scope's vehicles, and those of
// coatings and sites, which all studies share; the latest first. It reports
// whether there are more.
func (s *Store) AmendmentsIn(ctx context.Context, scope Scope, q AmendmentQuery) (list []study.Amendment, more bool, err error) {
	where, args := scope.where(1)
	param := func(value any) string {
		args = append(args, value)
		return `$` + strconv.Itoa(len(args))
	}
	where = `(a.vehicle_id IS NULL OR (` + where + `))`
	if q.State != "" { // for each state another plan
		where += ` AND a.state = ` + param(string(q.State))
	}
	page := where + `
		ORDER BY a.recorded_at DESC, a.amendment_id DESC
		OFFSET ` + param(q.Skip) + ` LIMIT ` + param(q.Limit+1)
	err = s.read(ctx, func(tx pgx.Tx) (err error) {
		list, err = amendments(ctx, tx, page, args...)
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("list amendments: %w", err)
	}
	if len(list) > q.Limit {
		return list[:q.Limit], true, nil
	}
	return list, false, nil
}

// CountProposed counts the amendments that AmendmentsIn lists as proposed.
func (s *Store) CountProposed(ctx context.Context, scope Scope) (n int, err error) {
	where, args := scope.where(1)
	err = s.db.QueryRow(ctx, `
		SELECT (
			SELECT count(*)
			FROM amendment
			WHERE state = 'proposed' AND vehicle_id IS NULL
		) + (
			SELECT count(*)
			FROM vehicle_code v
			JOIN amendment a USING (vehicle_id)`+scope.vehicle()+`
			WHERE a.state = 'proposed' AND `+where+`
		)`, args...).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("count amendments: %w", err)
	}
	return n, nil
}

// HasAmendment reports whether AmendmentsIn would list that amendment.
func (s *Store) HasAmendment(ctx context.Context, scope Scope, amendmentID study.ID) (has bool, err error) {
	where, args := scope.where(2)
	err = s.db.QueryRow(ctx, `
		SELECT EXISTS (
			SELECT
			FROM amendment a
			LEFT JOIN vehicle_code v USING (vehicle_id)
			LEFT JOIN vehicle t USING (vehicle_id)
			WHERE a.amendment_id = $1 AND (a.vehicle_id IS NULL OR (`+where+`))
		)`, append([]any{amendmentID}, args...)...).Scan(&has)
	if err != nil {
		return false, fmt.Errorf("find amendment %s: %w", amendmentID, err)
	}
	return has, nil
}
