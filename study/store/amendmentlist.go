package store

import (
	"context"
	"fmt"
	"slices"
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
	n := len(args)
	page := `a.amendment_id IN (
			SELECT x.amendment_id
			FROM amendment x
			LEFT JOIN vehicle_code v USING (vehicle_id)
			LEFT JOIN vehicle t USING (vehicle_id)
			WHERE (x.vehicle_id IS NULL OR (` + where + `)) AND ($` + strconv.Itoa(n+1) + ` = '' OR x.state = $` + strconv.Itoa(n+1) + `)
			ORDER BY x.recorded_at DESC, x.amendment_id DESC
			OFFSET $` + strconv.Itoa(n+2) + ` LIMIT $` + strconv.Itoa(n+3) + `
		)`
	err = s.read(ctx, func(tx pgx.Tx) (err error) {
		list, err = amendments(ctx, tx, page, append(args, string(q.State), q.Skip, q.Limit+1)...)
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("list amendments: %w", err)
	}
	slices.Reverse(list)
	if len(list) > q.Limit {
		return list[:q.Limit], true, nil
	}
	return list, false, nil
}

// CountProposed counts the amendments that AmendmentsIn lists as proposed.
func (s *Store) CountProposed(ctx context.Context, scope Scope) (n int, err error) {
	where, args := scope.where(1)
	err = s.db.QueryRow(ctx, `
		SELECT count(*)
		FROM amendment a
		LEFT JOIN vehicle_code v USING (vehicle_id)
		LEFT JOIN vehicle t USING (vehicle_id)
		WHERE a.state = 'proposed' AND (a.vehicle_id IS NULL OR (`+where+`))`, args...).Scan(&n)
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
