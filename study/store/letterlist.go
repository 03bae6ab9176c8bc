package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// LetterLine is a kept letter with the names of those who made and sent it.
type LetterLine struct {
	study.KeptLetter
	Maker, Sender string // accounts' names; Sender is empty where it wasn't sent
	PDFBytes      int
}

// Letters lists the letters to a vehicle's customer, the latest first, limit at
// most.
func (s *Store) Letters(ctx context.Context, vehicleID study.ID, limit int) ([]LetterLine, error) {
	rows, err := s.db.Query(ctx, selectLetters+`
		WHERE l.vehicle_id = $1
		ORDER BY l.dated_on DESC, l.letter_id DESC
		LIMIT $2`, vehicleID, limit)
	if err != nil {
		return nil, fmt.Errorf("list letters: %w", err)
	}
	list, err := pgx.CollectRows(rows, scanLetter)
	if err != nil {
		return nil, fmt.Errorf("list letters: %w", err)
	}
	return list, nil
}

// Letter finds one letter. It returns study.ErrNotFound if the vehicle has no
// such letter.
func (s *Store) Letter(ctx context.Context, vehicleID, id study.ID) (LetterLine, error) {
	rows, err := s.db.Query(ctx, selectLetters+`
		WHERE l.vehicle_id = $1 AND l.letter_id = $2`, vehicleID, id)
	if err != nil {
		return LetterLine{}, fmt.Errorf("find a letter: %w", err)
	}
	l, err := pgx.CollectExactlyOneRow(rows, scanLetter)
	if err != nil {
		return LetterLine{}, fmt.Errorf("find a letter: %w", orNotFound(err))
	}
	return l, nil
}

// selectLetters is the statement that scanLetter reads rows of.
const selectLetters = `
		SELECT l.vehicle_id, l.letter_id, l.dated_on, l.language, l.paper, l.version, l.made_by, l.recorded_at,
			l.sent_on, l.sent_by, l.sent_how, m.name, coalesce(s.name, ''), octet_length(l.pdf)
		FROM letter l
		JOIN account m ON m.account_id = l.made_by
		LEFT JOIN account s ON s.account_id = l.sent_by`

func scanLetter(row pgx.CollectableRow) (l LetterLine, err error) {
	var on *date
	var by *study.ID
	var how *study.Sending
	err = row.Scan(&l.VehicleID, &l.ID, (*date)(&l.Day), &l.Language, &l.Paper, &l.Version, &l.MadeBy, &l.Made,
		&on, &by, &how, &l.Maker, &l.Sender, &l.PDFBytes)
	if err == nil && on != nil {
		l.Sent = &study.LetterSent{On: study.Day(*on), By: *by, How: *how}
	}
	return l, err
}

// LastSent tells for each vehicle of the scope to whose customer a letter was
// sent when the last one was.
func (s *Store) LastSent(ctx context.Context, scope Scope) (map[study.ID]study.Day, error) {
	where, args := scope.where(1)
	rows, err := s.db.Query(ctx, `
		SELECT l.vehicle_id, max(l.sent_on)
		FROM letter l
		JOIN vehicle_code v ON v.vehicle_id = l.vehicle_id
		JOIN vehicle t ON t.vehicle_id = l.vehicle_id
		WHERE l.sent_on IS NOT NULL AND `+where+`
		GROUP BY l.vehicle_id`, args...)
	if err != nil {
		return nil, fmt.Errorf("list when letters were sent: %w", err)
	}
	last := map[study.ID]study.Day{}
	var id study.ID
	var day date
	if _, err := pgx.ForEachRow(rows, []any{&id, &day}, func() error {
		last[id] = study.Day(day)
		return nil
	}); err != nil {
		return nil, fmt.Errorf("list when letters were sent: %w", err)
	}
	return last, nil
}
