package reports

import (
	"context"

	"beadspan/study"
)

// tellClimate works out what the report says of climates, of the clocks that
// coatings may keep, and of the coating jobs.
func (r *Report) tellClimate(ctx context.Context, followed []study.Followed, fleet study.Fleet) error {
	sites, err := SitesOf(fleet)
	if err != nil {
		return err
	}
	r.SiteWeather = siteTable(fleet, sites)
	if r.ClimateLife, err = NewClimateLife(followed, sites, r.Options.Level); err != nil {
		return err
	}
	clocks, jobs := DefaultClockOptions(), DefaultJobEffectOptions()
	clocks.Level, jobs.Level = r.Options.Level, r.Options.Level
	if r.Clocks, err = NewClocks(ctx, followed, sites, clocks); err != nil {
		return err
	}
	r.JobEffects, err = NewJobEffects(ctx, followed, jobs)
	return err
}
