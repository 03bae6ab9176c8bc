package store

import (
	"context"
	"crypto/sha256"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddShareLink stores a link by which whoever knows secret reads one letter. Only
// a hash of the secret is stored.
func (s *Store) AddShareLink(ctx context.Context, l study.ShareLink, secret string) error {
	hash := sha256.Sum256([]byte(secret))
	_, err := s.db.Exec(ctx, `
		INSERT INTO share_link (link_sha256, link_id, study_id, vehicle_id, letter_id, made_by, expires_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`, hash[:], l.ID, l.StudyID, l.VehicleID, l.LetterID, l.MadeBy, l.Expires)
	if err != nil {
		return fmt.Errorf("add a share link: %w", err)
	}
	return nil
}

// SharedBy is a share link with the name of the account that made it.
type SharedBy struct {
	study.ShareLink
	Name string
}

// ShareLinks lists the links to a vehicle's letters, also those that are good no
// more; the latest first. The few from before letters were kept lead to none, and
// are left out.
func (s *Store) ShareLinks(ctx context.Context, studyID, vehicleID study.ID) ([]SharedBy, error) {
	rows, err := s.db.Query(ctx, selectShareLinks+`
		WHERE study_id = $1 AND vehicle_id = $2 AND letter_id IS NOT NULL
		ORDER BY l.recorded_at DESC, link_id`, studyID, vehicleID)
	if err != nil {
		return nil, fmt.Errorf("list share links: %w", err)
	}
	links, err := pgx.CollectRows(rows, scanShareLink)
	if err != nil {
		return nil, fmt.Errorf("list share links: %w", err)
	}
	return links, nil
}

// selectShareLinks is the statement that scanShareLink reads rows of.
const selectShareLinks = `
		SELECT link_id, study_id, vehicle_id, letter_id, made_by, expires_at, revoked_at, l.recorded_at, a.name
		FROM share_link l
		JOIN account a ON a.account_id = l.made_by`

func scanShareLink(row pgx.CollectableRow) (l SharedBy, err error) {
	err = row.Scan(&l.ID, &l.StudyID, &l.VehicleID, &l.LetterID, &l.MadeBy, &l.Expires, &l.Revoked, &l.Made, &l.Name)
	return l, err
}

// RevokeShareLink ends a link to a letter of the vehicle. It returns study.ErrNotFound if
// there is no such link; one that has ended stays as it is.
func (s *Store) RevokeShareLink(ctx context.Context, studyID, vehicleID, linkID study.ID) error {
	tag, err := s.db.Exec(ctx, `
		UPDATE share_link
		SET revoked_at = coalesce(revoked_at, now())
		WHERE study_id = $1 AND vehicle_id = $2 AND link_id = $3`, studyID, vehicleID, linkID)
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("revoke a share link: %w", err)
	}
	return nil
}

// SharedLetter is a letter that a link leads to.
type SharedLetter struct {
	study.KeptLetter
	Vehicle string // code
}

// Shared finds the letter that a link leads to which is good now. It returns
// study.ErrNotFound for any other secret.
func (s *Store) Shared(ctx context.Context, secret string) (l SharedLetter, err error) {
	hash := sha256.Sum256([]byte(secret))
	err = s.db.QueryRow(ctx, `
		SELECT l.vehicle_id, l.letter_id, l.dated_on, l.language, l.paper, l.version, l.made_by, l.recorded_at, v.code
		FROM share_link x
		JOIN letter l ON l.vehicle_id = x.vehicle_id AND l.letter_id = x.letter_id
		JOIN vehicle_code v ON v.vehicle_id = x.vehicle_id AND v.study_id = x.study_id
		WHERE x.link_sha256 = $1 AND x.revoked_at IS NULL AND x.expires_at > now()`, hash[:]).
		Scan(&l.VehicleID, &l.ID, (*date)(&l.Day), &l.Language, &l.Paper, &l.Version, &l.MadeBy, &l.Made, &l.Vehicle)
	if err != nil {
		return SharedLetter{}, fmt.Errorf("find the letter that a link leads to: %w", orNotFound(err))
	}
	return l, nil
}
