package store

import (
	"context"
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var siteTable = table{
	name:    "site",
	key:     []string{"site_id"},
	natural: []string{"code"},
	content: []string{"name", "latitude_deg", "longitude_deg", "altitude_m", "koppen", "uv_mj_m2_year",
		"freeze_thaw_days_year", "mean_temp_c", "precipitation_mm", "note"},
	label: `'site ' || t.code`,
	rows:  siteRows,
	count: func(n *study.Size) *int { return &n.Sites },
}

func siteRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, s := range f.Sites {
			if !yield([]any{raw(s.ID), s.Code, s.Name, s.LatitudeDeg, s.LongitudeDeg, s.AltitudeM, s.Koppen, s.UVMJm2Year,
				s.FreezeThawDaysYear, values(s.MeanTempC), values(s.PrecipitationMM), s.Note}) {
				return
			}
		}
	}
}

// sites lists where a study's vehicles live.
func sites(ctx context.Context, tx pgx.Tx, studyID study.ID) ([]study.Site, error) {
	rows, err := tx.Query(ctx, `
		SELECT site_id, code, name, latitude_deg, longitude_deg, altitude_m, koppen, uv_mj_m2_year,
			freeze_thaw_days_year, mean_temp_c, precipitation_mm, note
		FROM site
		WHERE site_id IN (
			SELECT t.site_id
			FROM vehicle_code v
			JOIN vehicle t USING (vehicle_id)
			WHERE v.study_id = $1
		)
		ORDER BY code`, studyID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (s study.Site, err error) {
		err = row.Scan(&s.ID, &s.Code, &s.Name, &s.LatitudeDeg, &s.LongitudeDeg, &s.AltitudeM, &s.Koppen, &s.UVMJm2Year,
			&s.FreezeThawDaysYear, &s.MeanTempC, &s.PrecipitationMM, &s.Note)
		s.MeanTempC, s.PrecipitationMM = orNil(s.MeanTempC), orNil(s.PrecipitationMM)
		return s, err
	})
}

// values writes an absent list as an empty one: the columns are never NULL.
func values(xs []float64) []float64 {
	if xs == nil {
		return []float64{}
	}
	return xs
}

// orNil reads an empty list as an absent one.
func orNil(xs []float64) []float64 {
	if len(xs) == 0 {
		return nil
	}
	return xs
}
