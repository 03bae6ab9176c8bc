package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// known holds the ids of stored records by what people call them.
type known struct {
	coatings, sites, shops, people, vehicles map[string]study.ID // by code
	patches                                  map[patchKey]study.ID
	checkups                                 map[checkupKey]study.ID
	care                                     map[careKey]study.ID
	// taken holds every id above and those of other studies' vehicles.
	taken map[study.ID]bool
}

type patchKey struct {
	vehicle study.ID
	code    string
}

type checkupKey struct {
	vehicle  study.ID
	day      study.Day
	operator study.ID // zero: unknown
}

type careKey struct {
	vehicle study.ID
	day     study.Day
	kind    study.CareKind
	patch   study.ID // zero: the whole vehicle
}

// lookUp finds the stored records that a fleet's records may be.
func lookUp(ctx context.Context, tx pgx.Tx, studyID study.ID, f study.Fleet) (k known, err error) {
	k.taken = map[study.ID]bool{}
	if k.coatings, err = k.byCode(tx.Query(ctx, `SELECT code, coating_id FROM coating`)); err != nil {
		return k, err
	}
	if k.sites, err = k.byCode(tx.Query(ctx, `SELECT code, site_id FROM site`)); err != nil {
		return k, err
	}
	if k.shops, err = k.byCode(tx.Query(ctx, `SELECT code, shop_id FROM shop`)); err != nil {
		return k, err
	}
	if k.people, err = k.byCode(tx.Query(ctx, `SELECT code, person_id FROM person`)); err != nil {
		return k, err
	}
	if k.vehicles, err = k.byCode(tx.Query(ctx, `SELECT code, vehicle_id FROM vehicle_code WHERE study_id = $1`, studyID)); err != nil {
		return k, err
	}
	if err := k.takeFromOtherStudies(ctx, tx, studyID, f); err != nil {
		return k, err
	}
	return k, k.belowVehicles(ctx, tx, f)
}

// byCode reads rows of a code and an id.
func (k known) byCode(rows pgx.Rows, err error) (map[string]study.ID, error) {
	return idsOf(k.taken, rows, err, func(row pgx.CollectableRow, id *study.ID) (code string, err error) {
		err = row.Scan(&code, (*raw)(id))
		return code, err
	})
}

// takeFromOtherStudies marks the ids of vehicles that were loaded into another
// study before: here they are other vehicles.
func (k known) takeFromOtherStudies(ctx context.Context, tx pgx.Tx, studyID study.ID, f study.Fleet) error {
	_, err := k.byCode(tx.Query(ctx, `
		SELECT code, vehicle_id
		FROM vehicle_code
		WHERE study_id <> $1 AND vehicle_id = ANY ($2::text[]::uuid[])`, studyID, vehicleIDs(f.Vehicles, nil)))
	return err
}

// belowVehicles finds what is stored of the fleet's vehicles.
func (k *known) belowVehicles(ctx context.Context, tx pgx.Tx, f study.Fleet) error {
	stored := vehicleIDs(f.Vehicles, k.vehicles)
	rows, err := tx.Query(ctx, `
		SELECT vehicle_id, code, patch_id
		FROM patch
		WHERE vehicle_id = ANY ($1::text[]::uuid[])`, stored)
	k.patches, err = idsOf(k.taken, rows, err, func(row pgx.CollectableRow, id *study.ID) (key patchKey, err error) {
		err = row.Scan((*raw)(&key.vehicle), &key.code, (*raw)(id))
		return key, err
	})
	if err != nil {
		return err
	}
	rows, err = tx.Query(ctx, `
		SELECT vehicle_id, checked_on, operator_id, checkup_id
		FROM checkup
		WHERE vehicle_id = ANY ($1::text[]::uuid[])`, stored)
	k.checkups, err = idsOf(k.taken, rows, err, func(row pgx.CollectableRow, id *study.ID) (key checkupKey, err error) {
		var operator *study.ID
		err = row.Scan((*raw)(&key.vehicle), (*date)(&key.day), &operator, (*raw)(id))
		key.operator = orZero(operator)
		return key, err
	})
	if err != nil {
		return err
	}
	rows, err = tx.Query(ctx, `
		SELECT vehicle_id, done_on, kind, patch_id, care_id
		FROM care
		WHERE vehicle_id = ANY ($1::text[]::uuid[])`, stored)
	k.care, err = idsOf(k.taken, rows, err, func(row pgx.CollectableRow, id *study.ID) (key careKey, err error) {
		var patch *study.ID
		err = row.Scan((*raw)(&key.vehicle), (*date)(&key.day), &key.kind, &patch, (*raw)(id))
		key.patch = orZero(patch)
		return key, err
	})
	return err
}

// idsOf collects rows into ids by key, and marks the ids as taken.
func idsOf[K comparable](taken map[study.ID]bool, rows pgx.Rows, err error,
	scan func(pgx.CollectableRow, *study.ID) (K, error)) (map[K]study.ID, error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	ids := map[K]study.ID{}
	for rows.Next() {
		var id study.ID
		key, err := scan(rows, &id)
		if err != nil {
			return nil, err
		}
		ids[key] = id
		taken[id] = true
	}
	return ids, rows.Err()
}

// vehicleIDs writes the vehicles' own ids as text or, with stored, the ids of
// those that are stored. Text, because the driver can't send a list of ids
// without asking the server for their type first, and behind some poolers it
// must not ask.
func vehicleIDs(vehicles []study.Vehicle, stored map[string]study.ID) []string {
	ids := make([]string, 0, len(vehicles))
	for _, v := range vehicles {
		if stored == nil {
			ids = append(ids, v.ID.String())
		} else if id, is := stored[v.Code]; is {
			ids = append(ids, id.String())
		}
	}
	return ids
}

// orZero is the id, or the zero id for none.
func orZero(id *study.ID) study.ID {
	if id == nil {
		return study.ID{}
	}
	return *id
}
