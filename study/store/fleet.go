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

func readFleet(ctx context.Context, tx pgx.Tx, of selection, f *study.Fleet) (err error) {
	if f.Coatings, err = coatings(ctx, tx, of); err != nil {
		return err
	}
	if f.Sites, err = sites(ctx, tx, of); err != nil {
		return err
	}
	if f.Shops, err = shops(ctx, tx, of); err != nil {
		return err
	}
	if f.People, err = people(ctx, tx, of); err != nil {
		return err
	}
	if f.Vehicles, err = vehicles(ctx, tx, of); err != nil {
		return err
	}
	a := newAssembly(f.Vehicles)
	for _, add := range []func(context.Context, pgx.Tx, selection) error{
		a.addPatches, a.addCheckups, a.addReadings, a.addCare,
	} {
		if err := add(ctx, tx, of); err != nil {
			return err
		}
	}
	return nil
}

// assembly puts what is read below the vehicles into its place.
type assembly struct {
	vehicles map[study.ID]*study.Vehicle
	// checkups finds the place of a checkup in its vehicle; filled when the
	// first reading asks, since by then no checkup moves any more.
	checkups map[study.ID]map[study.ID]*study.Checkup
}

func newAssembly(vehicles []study.Vehicle) *assembly {
	a := &assembly{vehicles: make(map[study.ID]*study.Vehicle, len(vehicles))}
	for i := range vehicles {
		a.vehicles[vehicles[i].ID] = &vehicles[i]
	}
	a.checkups = make(map[study.ID]map[study.ID]*study.Checkup, len(vehicles))
	return a
}

// checkup finds one of a vehicle's checkups.
func (a *assembly) checkup(vehicle, checkup study.ID) *study.Checkup {
	byID, known := a.checkups[vehicle]
	if !known {
		byID = make(map[study.ID]*study.Checkup)
		v := a.vehicles[vehicle]
		for i := range v.Checkups {
			byID[v.Checkups[i].ID] = &v.Checkups[i]
		}
		a.checkups[vehicle] = byID
	}
	return byID[checkup]
}
