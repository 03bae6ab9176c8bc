package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var vehicleCodeTable = table{
	name:    "vehicle_code",
	key:     []string{"vehicle_id"},
	natural: []string{"study_id", "code"},
	rows:    vehicleCodeRows,
}

var vehicleTable = table{
	name:    "vehicle",
	key:     []string{"vehicle_id"},
	content: []string{"site_id", "shop_id", "enrolled_on", "garage", "km_per_year", "note"},
	blank:   map[string]string{"garage": `''`, "note": `''`},
	label:   `v.code`,
	joins:   `JOIN vehicle_code v ON v.vehicle_id = t.vehicle_id`,
	rows:    vehicleRows,
	count:   func(n *study.Size) *int { return &n.Vehicles },
}

func vehicleCodeRows(studyID study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			if !yield([]any{raw(v.ID), raw(studyID), v.Code}) {
				return
			}
		}
	}
}

func vehicleRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			if !yield([]any{raw(v.ID), raw(v.SiteID), rawOrNull(v.ShopID), date(v.Enrolled), string(v.Garage), v.KmPerYear, v.Note}) {
				return
			}
		}
	}
}

// vehicles lists a study's vehicles, bare of what is below them.
func vehicles(batch *pgx.Batch, of selection, into *[]study.Vehicle) {
	collect(batch, `
		SELECT t.vehicle_id, v.code, t.site_id, t.shop_id, t.enrolled_on, t.garage, t.km_per_year, t.note
		FROM vehicle_code v
		JOIN vehicle t USING (vehicle_id)
		WHERE `+of.where+`
		ORDER BY v.code`, of.id, into, func(row pgx.CollectableRow) (v study.Vehicle, err error) {
		err = row.Scan(&v.ID, &v.Code, &v.SiteID, &v.ShopID, (*date)(&v.Enrolled), &v.Garage, &v.KmPerYear, &v.Note)
		return v, err
	})
}
