package store

import (
	"context"
	"fmt"
	"iter"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

var siteTable = table{
	name:    "site",
	key:     []string{"site_id"},
	natural: []string{"code"},
	content: []string{"name", "latitude_deg", "longitude_deg", "altitude_m", "koppen", "uv_mj_m2_year",
		"freeze_thaw_days_year", "mean_temp_c", "precipitation_mm", "max_temp_c", "min_temp_c", "sunshine_h", "cloud_pct",
		"humidity_pct", "note"},
	blank: map[string]string{"name": `''`, "note": `''`, "mean_temp_c": `'{}'`, "precipitation_mm": `'{}'`, "max_temp_c": `'{}'`,
		"min_temp_c": `'{}'`, "sunshine_h": `'{}'`, "cloud_pct": `'{}'`, "humidity_pct": `'{}'`},
	label: `'site ' || t.code`,
	rows:  siteRows,
	count: func(n *study.Size) *int { return &n.Sites },
}

func siteRows(_ study.ID, f study.Fleet) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for _, s := range f.Sites {
			if !yield([]any{raw(s.ID), s.Code, s.Name, s.LatitudeDeg, s.LongitudeDeg, s.AltitudeM, s.Koppen, s.UVMJm2Year,
				s.FreezeThawDaysYear, values(s.MeanTempC), values(s.PrecipitationMM), values(s.MaxTempC), values(s.MinTempC),
				values(s.SunshineH), values(s.CloudPct), values(s.HumidityPct), s.Note}) {
				return
			}
		}
	}
}

// AddSite stores a site, under the rules of Load: a new code is added; a code
// stored before with the same content stays; with other content it stays too,
// and the difference becomes a proposed amendment.
//
// It returns study.Problems if the site is not valid.
func (s *Store) AddSite(ctx context.Context, site study.Site) (Loaded, error) {
	f := study.Fleet{Sites: []study.Site{site}}
	err := check(f).OrNil()
	var loaded Loaded
	if err == nil {
		err = s.write(ctx, func(tx pgx.Tx) error {
			if err := oneLoadAtATime(ctx, tx); err != nil {
				return err
			}
			noStudy := study.ID{} // sites belong to all studies
			var err error
			loaded, err = loadInto(ctx, tx, noStudy, f, Loading{})
			return err
		})
	}
	if err != nil {
		return Loaded{}, fmt.Errorf("add site %s: %w", site.Code, explain(err))
	}
	return loaded, nil
}

// Sites lists all sites, of whatever study or of none yet, in order of code.
func (s *Store) Sites(ctx context.Context) ([]study.Site, error) {
	rows, err := s.db.Query(ctx, selectSites+`ORDER BY code`)
	if err != nil {
		return nil, fmt.Errorf("list sites: %w", err)
	}
	all, err := pgx.CollectRows(rows, scanSite)
	if err != nil {
		return nil, fmt.Errorf("list sites: %w", err)
	}
	return all, nil
}

// SiteByCode finds a site. It returns study.ErrNotFound if there is none of
// that code.
func (s *Store) SiteByCode(ctx context.Context, code string) (study.Site, error) {
	rows, err := s.db.Query(ctx, selectSites+`WHERE code = $1`, code)
	if err != nil {
		return study.Site{}, fmt.Errorf("find site %s: %w", code, err)
	}
	site, err := pgx.CollectExactlyOneRow(rows, scanSite)
	if err != nil {
		return study.Site{}, fmt.Errorf("find site %s: %w", code, orNotFound(err))
	}
	return site, nil
}

// sites lists where a study's vehicles live.
func sites(batch *pgx.Batch, of selection, into *[]study.Site) {
	collect(batch, selectSites+`
		WHERE site_id IN (
			SELECT t.site_id
			FROM vehicle_code v
			JOIN vehicle t USING (vehicle_id)
			WHERE `+of.where+`
		)
		ORDER BY code`, of.id, into, scanSite)
}

// selectSites is the statement that scanSite reads rows of.
const selectSites = `
		SELECT site_id, code, name, latitude_deg, longitude_deg, altitude_m, koppen, uv_mj_m2_year,
			freeze_thaw_days_year, mean_temp_c, precipitation_mm, max_temp_c, min_temp_c, sunshine_h, cloud_pct,
			humidity_pct, note
		FROM site
		`

func scanSite(row pgx.CollectableRow) (s study.Site, err error) {
	err = row.Scan(&s.ID, &s.Code, &s.Name, &s.LatitudeDeg, &s.LongitudeDeg, &s.AltitudeM, &s.Koppen, &s.UVMJm2Year,
		&s.FreezeThawDaysYear, &s.MeanTempC, &s.PrecipitationMM, &s.MaxTempC, &s.MinTempC, &s.SunshineH, &s.CloudPct,
		&s.HumidityPct, &s.Note)
	for _, months := range []*[]float64{&s.MeanTempC, &s.PrecipitationMM, &s.MaxTempC, &s.MinTempC, &s.SunshineH,
		&s.CloudPct, &s.HumidityPct} {
		*months = orNil(*months)
	}
	return s, err
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
