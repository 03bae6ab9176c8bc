package store

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// VehicleQuery asks for a page of a list of vehicles.
type VehicleQuery struct {
	Search string // part of the code; empty: all
	After  string // the code that the page before ended with; empty: the first page
	Limit  int
}

// VehicleLine is one vehicle of a list.
type VehicleLine struct {
	ID      study.ID
	Code    string
	Site    string     // code
	Shop    string     // code; empty for none
	Patches int        // coated panels
	LastDay *study.Day // of the last checkup; nil when there was none
}

// Vehicles lists vehicles of the scope in order of code, and reports whether
// there are more after them.
func (s *Store) Vehicles(ctx context.Context, scope Scope, q VehicleQuery) (list []VehicleLine, more bool, err error) {
	where, args := scope.where(1)
	param := func(value any) string {
		args = append(args, value)
		return `$` + strconv.Itoa(len(args))
	}
	if q.Search != "" {
		where += ` AND v.code ILIKE ` + param("%"+likeLiteral.Replace(q.Search)+"%")
	}
	if q.After != "" {
		where += ` AND v.code > ` + param(q.After)
	}
	rows, err := s.db.Query(ctx, `
		SELECT v.vehicle_id, v.code, site.code, coalesce(shop.code, ''),
			(SELECT count(*) FROM patch p WHERE p.vehicle_id = v.vehicle_id),
			(SELECT max(c.checked_on) FROM checkup c WHERE c.vehicle_id = v.vehicle_id)
		FROM vehicle_code v
		JOIN vehicle t USING (vehicle_id)
		JOIN site USING (site_id)
		LEFT JOIN shop ON shop.shop_id = t.shop_id
		WHERE `+where+`
		ORDER BY v.code
		LIMIT `+param(q.Limit+1), args...)
	if err != nil {
		return nil, false, fmt.Errorf("list vehicles: %w", err)
	}
	list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (l VehicleLine, err error) {
		var last *date
		err = row.Scan(&l.ID, &l.Code, &l.Site, &l.Shop, &l.Patches, &last)
		l.LastDay = (*study.Day)(last)
		return l, err
	})
	if isNoText(err) {
		return nil, false, nil // no code has that in it
	}
	if err != nil {
		return nil, false, fmt.Errorf("list vehicles: %w", err)
	}
	if len(list) > q.Limit {
		return list[:q.Limit], true, nil
	}
	return list, false, nil
}

// likeLiteral keeps what somebody searches for from being a pattern.
var likeLiteral = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// VehicleByCode reads everything known of one vehicle of the scope, as it is at
// one moment: a fleet of that vehicle, in the order of Fleet. It returns
// study.ErrNotFound if the scope has no such vehicle.
func (s *Store) VehicleByCode(ctx context.Context, scope Scope, code string) (study.Fleet, error) {
	var f study.Fleet
	err := s.read(ctx, func(tx pgx.Tx) error {
		id, err := vehicleID(ctx, tx, scope, code)
		if err != nil {
			return err
		}
		return readFleet(ctx, tx, ofVehicle(id), &f)
	})
	if err != nil {
		return study.Fleet{}, fmt.Errorf("read vehicle %s: %w", code, err)
	}
	return f, nil
}

// VehicleID finds a vehicle of the scope. It returns study.ErrNotFound if there is
// none of that code.
func (s *Store) VehicleID(ctx context.Context, scope Scope, code string) (id study.ID, err error) {
	err = s.read(ctx, func(tx pgx.Tx) error {
		id, err = vehicleID(ctx, tx, scope, code)
		return err
	})
	if err != nil {
		return id, fmt.Errorf("find vehicle %s: %w", code, err)
	}
	return id, nil
}

// VehicleRef is what a vehicle is known by, and its shop.
type VehicleRef struct {
	ID     study.ID
	Code   string
	ShopID *study.ID // nil for none
}

// VehiclesByCode finds those of the codes that vehicles of the scope have, in
// order of code.
func (s *Store) VehiclesByCode(ctx context.Context, scope Scope, codes []string) ([]VehicleRef, error) {
	where, args := scope.where(2)
	rows, err := s.db.Query(ctx, `
		SELECT v.vehicle_id, v.code, t.shop_id
		FROM vehicle_code v
		JOIN vehicle t USING (vehicle_id)
		WHERE v.code = ANY ($1) AND `+where+`
		ORDER BY v.code`, append([]any{codes}, args...)...)
	if err != nil {
		return nil, fmt.Errorf("find vehicles: %w", err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[VehicleRef])
	if isNoText(err) {
		return nil, nil // one of them is no code
	}
	if err != nil {
		return nil, fmt.Errorf("find vehicles: %w", err)
	}
	return list, nil
}

// vehicleID finds a vehicle of the scope.
func vehicleID(ctx context.Context, tx pgx.Tx, scope Scope, code string) (id study.ID, err error) {
	where, args := scope.where(2)
	err = tx.QueryRow(ctx, `
		SELECT v.vehicle_id
		FROM vehicle_code v
		JOIN vehicle t USING (vehicle_id)
		WHERE v.code = $1 AND `+where, append([]any{code}, args...)...).Scan(&id)
	return id, orNotFound(err)
}

// CountVehicles counts the vehicles of the scope.
func (s *Store) CountVehicles(ctx context.Context, scope Scope) (n int, err error) {
	where, args := scope.where(1)
	err = s.db.QueryRow(ctx, `
		SELECT count(*)
		FROM vehicle_code v`+scope.vehicle()+`
		WHERE `+where, args...).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("count vehicles: %w", err)
	}
	return n, nil
}
