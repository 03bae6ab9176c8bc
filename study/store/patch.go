package store

import (
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var patchTable = table{
	name:    "patch",
	key:     []string{"vehicle_id", "patch_id"},
	natural: []string{"code"},
	content: []string{"coating_id", "panel", "orientation", "substrate", "finish", "applied_on", "layers", "layer_interval_h",
		"flash_s", "air_temp_c", "humidity_pct", "prep_alcohol_pct", "keep_dry_h", "days_to_first_wash", "note"},
	blank: map[string]string{"note": `''`},
	label: `v.code || ' ' || t.code`,
	joins: `JOIN vehicle_code v ON v.vehicle_id = t.vehicle_id`,
	rows:  patchRows,
	count: func(n *study.Size) *int { return &n.Patches },
}

func patchRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, v := range f.Vehicles {
			for _, p := range v.Patches {
				if !yield([]any{raw(v.ID), raw(p.ID), p.Code, raw(p.CoatingID), p.Panel, string(p.Orientation), string(p.Substrate), string(p.Finish),
					date(p.Applied), p.Job.Layers, p.Job.LayerIntervalH, p.Job.FlashS, p.Job.AirTempC, p.Job.HumidityPct,
					p.Job.PrepAlcoholPct, p.Job.KeepDryH, p.Job.DaysToFirstWash, p.Note}) {
					return
				}
			}
		}
	}
}

// addPatches reads a study's patches into their vehicles, in order of code.
func (f *assembly) addPatches(batch *pgx.Batch, of selection) {
	batch.Queue(`
		SELECT t.vehicle_id, t.patch_id, t.code, t.coating_id, t.panel, t.orientation, t.substrate, t.finish, t.applied_on,
			t.layers, t.layer_interval_h, t.flash_s, t.air_temp_c, t.humidity_pct, t.prep_alcohol_pct, t.keep_dry_h,
			t.days_to_first_wash, t.note
		FROM vehicle_code v
		JOIN patch t USING (vehicle_id)
		WHERE `+of.where+`
		ORDER BY v.code, t.code`, of.id).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var vehicle study.ID
			var p study.Patch
			err := rows.Scan((*raw)(&vehicle), (*raw)(&p.ID), &p.Code, (*raw)(&p.CoatingID), &p.Panel, &p.Orientation, &p.Substrate, &p.Finish,
				(*date)(&p.Applied), &p.Job.Layers, &p.Job.LayerIntervalH, &p.Job.FlashS, &p.Job.AirTempC, &p.Job.HumidityPct,
				&p.Job.PrepAlcoholPct, &p.Job.KeepDryH, &p.Job.DaysToFirstWash, &p.Note)
			if err != nil {
				return err
			}
			v := f.vehicle(vehicle)
			v.Patches = append(v.Patches, p)
		}
		return rows.Err()
	})
}
