package store

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// AddPhoto stores a photo of a vehicle's patch, both known by their codes. The
// phone makes p.ID, so that a photo that arrives twice is stored once: fresh is
// false the second time, and also for one that was removed since.
//
// It returns study.ErrNotFound if the scope has no such vehicle, and
// study.Problems if the photo is not valid, the vehicle has no such patch,
// another photo has the id, or there are too many.
func (s *Store) AddPhoto(ctx context.Context, scope Scope, vehicle, patch string, p study.Photo) (fresh bool, err error) {
	c := checker{problems: p.Validate()}
	c.day("", "day", p.Day)
	err = c.problems.OrNil()
	if err == nil {
		err = s.write(ctx, func(tx pgx.Tx) error {
			fresh, err = addPhoto(ctx, tx, scope, vehicle, patch, p)
			return err
		})
	}
	if err != nil {
		return false, fmt.Errorf("add a photo of vehicle %s: %w", vehicle, explain(err))
	}
	return fresh, nil
}

func addPhoto(ctx context.Context, tx pgx.Tx, scope Scope, vehicle, patch string, p study.Photo) (bool, error) {
	id, err := vehicleID(ctx, tx, scope, vehicle)
	if err != nil {
		return false, err
	}
	err = tx.QueryRow(ctx, `
		SELECT patch_id
		FROM patch
		WHERE vehicle_id = $1 AND code = $2`, id, patch).Scan(&p.PatchID)
	if errors.Is(orNotFound(err), study.ErrNotFound) {
		return false, study.Problems{{Column: "patch", Got: patch, Want: wantPatch}}
	}
	if err != nil {
		return false, err
	}
	sum := sha256.Sum256(p.Large)
	tag, err := tx.Exec(ctx, `
		INSERT INTO photo (vehicle_id, photo_id, patch_id, taken_on, stage, account_id, sent_sha256, sha256, width_px, height_px,
			large_jpeg, small_jpeg)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
		ON CONFLICT (vehicle_id, photo_id) DO NOTHING`, id, p.ID, p.PatchID, date(p.Day), string(p.Stage), p.AccountID,
		p.SentSHA256[:], sum[:], p.WidthPx, p.HeightPx, p.Large, p.Small)
	if err != nil {
		return false, err
	}
	if tag.RowsAffected() == 0 {
		return false, samePhoto(ctx, tx, id, p)
	}
	return true, fewPhotos(ctx, tx, id, p)
}

// samePhoto says that another photo is stored under the id, if it is.
func samePhoto(ctx context.Context, tx pgx.Tx, vehicle study.ID, p study.Photo) error {
	var same bool
	err := tx.QueryRow(ctx, `
		SELECT sent_sha256 = $3 AND patch_id = $4 AND taken_on = $5 AND stage = $6
		FROM photo
		WHERE vehicle_id = $1 AND photo_id = $2`, vehicle, p.ID, p.SentSHA256[:], p.PatchID, date(p.Day), string(p.Stage)).Scan(&same)
	if err == nil && !same {
		return study.Problems{{Column: "id", Got: p.ID.String(), Want: "another photo is stored under this id: take it anew"}}
	}
	return err
}

// fewPhotos says that the photo that was just added is one too many, if it is.
func fewPhotos(ctx context.Context, tx pgx.Tx, vehicle study.ID, p study.Photo) error {
	var ofPatch, atStage int
	err := tx.QueryRow(ctx, `
		SELECT count(*), count(*) FILTER (WHERE taken_on = $3 AND stage = $4)
		FROM photo
		WHERE vehicle_id = $1 AND patch_id = $2 AND removed_at IS NULL`, vehicle, p.PatchID, date(p.Day), string(p.Stage)).
		Scan(&ofPatch, &atStage)
	switch {
	case err != nil:
		return err
	case atStage > study.MostPhotosAtStage:
		return study.Problems{{Column: "photo", Want: fmt.Sprintf("there are %d photos of this panel at this stage of the day already: that is all it may have", atStage-1)}}
	case ofPatch > study.MostPhotosOfPatch:
		return study.Problems{{Column: "photo", Want: fmt.Sprintf("there are %d photos of this panel already: an owner has to remove some first", ofPatch-1)}}
	}
	return nil
}

// PhotoQuery asks for photos of a scope.
type PhotoQuery struct {
	Vehicle string // code; empty: of all vehicles
	Limit   int    // 0: all
}

// Photos lists photos that were not removed: of each vehicle in order of code
// the latest first. A vehicle that the scope hasn't has none.
func (s *Store) Photos(ctx context.Context, scope Scope, q PhotoQuery) ([]study.KeptPhoto, error) {
	where, args := scope.where(3)
	rows, err := s.db.Query(ctx, selectPhotos+`
		WHERE ($1 = '' OR v.code = $1) AND f.removed_at IS NULL AND `+where+`
		ORDER BY v.code, f.taken_on DESC, p.code, f.stage, f.photo_id
		LIMIT nullif($2, 0)`, append([]any{q.Vehicle, q.Limit}, args...)...)
	if err != nil {
		return nil, fmt.Errorf("list photos: %w", err)
	}
	list, err := pgx.CollectRows(rows, scanPhoto)
	if err != nil {
		return nil, fmt.Errorf("list photos: %w", err)
	}
	return list, nil
}

// selectPhotos is the statement that scanPhoto reads rows of. How large a
// picture is stands beside it in the row, so that none is read for that.
const selectPhotos = `
		SELECT f.photo_id, v.code, p.code, p.panel, f.taken_on, f.stage, coalesce(a.name, ''), f.width_px, f.height_px,
			octet_length(f.large_jpeg), f.sha256, f.recorded_at
		FROM vehicle_code v
		JOIN vehicle t USING (vehicle_id)
		JOIN photo f ON f.vehicle_id = v.vehicle_id
		JOIN patch p ON p.vehicle_id = f.vehicle_id AND p.patch_id = f.patch_id
		LEFT JOIN account a ON a.account_id = f.account_id`

func scanPhoto(row pgx.CollectableRow) (k study.KeptPhoto, err error) {
	var sum []byte
	err = row.Scan(&k.ID, &k.Vehicle, &k.Patch, &k.Panel, (*date)(&k.Day), &k.Stage, &k.By, &k.WidthPx, &k.HeightPx, &k.Bytes, &sum, &k.Taken)
	copy(k.SHA256[:], sum)
	return k, err
}

// Photo reads a photo of a vehicle, and its large picture or its small one. It
// returns study.ErrNotFound if the scope has no such vehicle or photo, or the
// photo was removed.
func (s *Store) Photo(ctx context.Context, scope Scope, vehicle string, id study.ID, small bool) (k study.KeptPhoto, jpeg []byte, err error) {
	where, args := scope.where(3)
	err = s.read(ctx, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, selectPhotos+`
			WHERE v.code = $1 AND f.photo_id = $2 AND f.removed_at IS NULL AND `+where, append([]any{vehicle, id}, args...)...)
		if err != nil {
			return err
		}
		if k, err = pgx.CollectExactlyOneRow(rows, scanPhoto); err != nil {
			return orNotFound(err)
		}
		column := "large_jpeg"
		if small {
			column = "small_jpeg"
		}
		return tx.QueryRow(ctx, `
			SELECT `+column+`
			FROM photo
			WHERE vehicle_id = (SELECT vehicle_id FROM vehicle_code WHERE study_id = $1 AND code = $2) AND photo_id = $3`,
			scope.StudyID, vehicle, id).Scan(&jpeg)
	})
	if err != nil {
		return study.KeptPhoto{}, nil, fmt.Errorf("read a photo of vehicle %s: %w", vehicle, err)
	}
	return k, jpeg, nil
}

// RemovePhoto empties a photo for good: it may show a plate or a person. It
// returns study.ErrNotFound if the scope has no such photo, and study.Problems
// where nobody says why.
func (s *Store) RemovePhoto(ctx context.Context, scope Scope, vehicle string, id, by study.ID, why string) error {
	var err error = study.Problems{{Column: "why", Want: "expected the reason, in a few words"}}
	if why != "" {
		err = s.write(ctx, func(tx pgx.Tx) error { return removePhoto(ctx, tx, scope, vehicle, id, by, why) })
	}
	if err != nil {
		return fmt.Errorf("remove a photo of vehicle %s: %w", vehicle, explain(err))
	}
	return nil
}

func removePhoto(ctx context.Context, tx pgx.Tx, scope Scope, vehicle string, id, by study.ID, why string) error {
	of, err := vehicleID(ctx, tx, scope, vehicle)
	if err != nil {
		return err
	}
	tag, err := tx.Exec(ctx, `
		UPDATE photo
		SET large_jpeg = '', small_jpeg = '', removed_at = now(), removed_by = $3, removed_why = $4
		WHERE vehicle_id = $1 AND photo_id = $2 AND removed_at IS NULL`, of, id, by, why)
	if err == nil && tag.RowsAffected() == 0 {
		return study.ErrNotFound
	}
	return err
}
