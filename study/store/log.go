package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Logged says what became of what somebody logged at one vehicle.
type Logged struct {
	Loaded
	// Waiting lists the amendments of the vehicle that nobody has decided on,
	// those proposed just now among them; the oldest first.
	Waiting []study.Amendment
}

// Log adds to one vehicle of the scope what was logged of it: patches newly
// coated, checkups and care. It follows the rules of Load, so that logging the
// same again changes nothing and what differs from a stored record becomes a
// proposed amendment. A checkup whose id is stored is that one, whoever the
// account logs for by now.
//
// f holds that one vehicle, and the coatings that it names and that may be new.
// Of a vehicle that is stored it says no more than the code; one that isn't is
// added as f says. Ids name stored records, or those in f.
//
// Log returns study.ErrNotFound if the scope has no such vehicle and f doesn't
// say where it lives, and study.Problems for what keeps it from being stored.
func (s *Store) Log(ctx context.Context, scope Scope, f study.Fleet) (Logged, error) {
	var logged Logged
	began := time.Now()
	v := f.Vehicles[0]
	err := s.write(ctx, func(tx pgx.Tx) error {
		if err := oneLoadAtATime(ctx, tx); err != nil {
			return err
		}
		v, err := withStored(ctx, tx, scope, v)
		if err != nil {
			return err
		}
		fleet := study.Fleet{Coatings: f.Coatings, Vehicles: []study.Vehicle{v}}
		if err := check(fleet).OrNil(); err != nil {
			return err
		}
		if logged.Loaded, err = loadInto(ctx, tx, scope.StudyID, fleet, Loading{}); err != nil {
			return err
		}
		logged.Waiting, err = amendments(ctx, tx, `v.study_id = $1 AND v.code = $2 AND a.state = 'proposed'`+oldestFirst, scope.StudyID, v.Code)
		return err
	})
	if err != nil {
		return Logged{}, fmt.Errorf("log at vehicle %s: %w", v.Code, explain(err))
	}
	s.log.InfoContext(ctx, "logged", "study_id", scope.StudyID, "readings_added", logged.Added.Readings,
		"amendments_proposed", logged.Proposed, "took_ms", time.Since(began).Milliseconds())
	return logged, nil
}

// withStored puts what is stored of the vehicle itself in place of what v says.
func withStored(ctx context.Context, tx pgx.Tx, scope Scope, v study.Vehicle) (study.Vehicle, error) {
	id, err := vehicleID(ctx, tx, scope, v.Code)
	if errors.Is(err, study.ErrNotFound) {
		return v, mayAdd(ctx, tx, scope, v)
	}
	if err != nil {
		return v, err
	}
	var stored []study.Vehicle
	var batch pgx.Batch
	vehicles(&batch, ofVehicle(id), &stored)
	if err := tx.SendBatch(ctx, &batch).Close(); err != nil {
		return v, err
	}
	known := stored[0]
	known.Patches, known.Checkups, known.Care = v.Patches, v.Checkups, v.Care
	for i := range known.Checkups {
		if err := asStored(ctx, tx, id, &known.Checkups[i]); err != nil {
			return v, err
		}
	}
	return known, nil
}

// mayAdd says why a vehicle can't be added: nobody said where it lives, or it
// would be another shop's.
func mayAdd(ctx context.Context, tx pgx.Tx, scope Scope, v study.Vehicle) error {
	if v.SiteID == (study.ID{}) {
		return study.ErrNotFound
	}
	if err := studyExists(ctx, tx, scope.StudyID); err != nil {
		return err
	}
	if !scope.Covers(v.ShopID) {
		return study.Problems{{Column: "shop", Want: "expected a shop of yours"}}
	}
	var taken bool
	err := tx.QueryRow(ctx, `
		SELECT EXISTS (SELECT FROM vehicle_code WHERE study_id = $1 AND code = $2)`, scope.StudyID, v.Code).Scan(&taken)
	if err == nil && taken {
		return study.Problems{{Column: "code", Got: v.Code, Want: "another shop has a vehicle of this code"}}
	}
	return err
}

// asStored makes c the checkup that is stored under its id. Its operator is
// what was stored; under another day it would be another checkup.
func asStored(ctx context.Context, tx pgx.Tx, vehicle study.ID, c *study.Checkup) error {
	var day study.Day
	var operator *study.ID
	err := tx.QueryRow(ctx, `
		SELECT checked_on, operator_id
		FROM checkup
		WHERE vehicle_id = $1 AND checkup_id = $2`, vehicle, c.ID).Scan((*date)(&day), &operator)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	if day != c.Day {
		return study.Problems{{Column: "day", Got: c.Day.String(),
			Want: "this checkup is stored under " + day.String() + ": log what was read on another day as a checkup of its own"}}
	}
	c.OperatorID = operator
	return nil
}
