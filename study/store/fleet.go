package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Fleet reads everything known of a study, as it is at one moment: its
// vehicles in order of code, and the coatings, sites, shops and people that
// they name. Within a vehicle patches are in order of code, checkups and care of
// day, readings of patch and stage, so that the same records always come in
// the same order. It returns study.ErrNotFound if there is no such study.
func (s *Store) Fleet(ctx context.Context, studyID study.ID) (study.Fleet, error) {
	var f study.Fleet
	err := s.read(ctx, func(tx pgx.Tx) error {
		if err := studyExists(ctx, tx, studyID); err != nil {
			return err
		}
		return readFleet(ctx, tx, ofStudy(studyID), &f)
	})
	if err != nil {
		return study.Fleet{}, fmt.Errorf("read the fleet: %w", err)
	}
	return f, nil
}

// readFleet sends all statements at once, since waiting for each would take a
// page longer than the database needs for all.
func readFleet(ctx context.Context, tx pgx.Tx, of selection, f *study.Fleet) error {
	var batch pgx.Batch
	coatings(&batch, of, &f.Coatings)
	sites(&batch, of, &f.Sites)
	shops(&batch, of, &f.Shops)
	people(&batch, of, &f.People)
	vehicles(&batch, of, &f.Vehicles)
	a := assembly{of: &f.Vehicles}
	a.addPatches(&batch, of)
	a.addCheckups(&batch, of)
	a.addReadings(&batch, of)
	a.addCare(&batch, of)
	return tx.SendBatch(ctx, &batch).Close()
}

// collect adds a statement to the batch whose rows become a list.
func collect[T any](batch *pgx.Batch, sql string, id study.ID, into *[]T, scan pgx.RowToFunc[T]) {
	batch.Queue(sql, id).Query(func(rows pgx.Rows) (err error) {
		*into, err = pgx.AppendRows(*into, rows, scan)
		return err
	})
}

// assembly puts what is read below the vehicles into its place.
type assembly struct {
	of *[]study.Vehicle
	// vehicles finds one of them; filled when the first asks, since by then all
	// have been read.
	vehicles map[study.ID]*study.Vehicle
	// checkups finds the place of a checkup in its vehicle; filled when the
	// first reading asks, since by then no checkup moves any more.
	checkups map[study.ID]map[study.ID]*study.Checkup
}

// vehicle finds one of the vehicles.
func (a *assembly) vehicle(id study.ID) *study.Vehicle {
	if a.vehicles == nil {
		vehicles := *a.of
		a.vehicles = make(map[study.ID]*study.Vehicle, len(vehicles))
		for i := range vehicles {
			a.vehicles[vehicles[i].ID] = &vehicles[i]
		}
		a.checkups = make(map[study.ID]map[study.ID]*study.Checkup, len(vehicles))
	}
	return a.vehicles[id]
}

// checkup finds one of a vehicle's checkups.
func (a *assembly) checkup(vehicle, checkup study.ID) *study.Checkup {
	v := a.vehicle(vehicle)
	byID, known := a.checkups[vehicle]
	if !known {
		byID = make(map[study.ID]*study.Checkup)
		for i := range v.Checkups {
			byID[v.Checkups[i].ID] = &v.Checkups[i]
		}
		a.checkups[vehicle] = byID
	}
	return byID[checkup]
}
