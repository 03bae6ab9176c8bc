package reports

import (
	"beadspan/study"
	"beadspan/study/climate"
)

// SaltSeasons tells the months in which roads are salted where a site of the
// fleet is, by frost days. Where a site has no temperatures of its own they are
// the map's, and the notes say so.
func SaltSeasons(fleet study.Fleet) (salt func(study.Site) study.SaltSeason, notes []string, err error) {
	sites, err := SitesOf(fleet)
	if err != nil {
		return nil, nil, err
	}
	seasons := map[study.ID]study.SaltSeason{}
	byMap := false
	for _, site := range fleet.Sites {
		var season study.SaltSeason
		for i, m := range sites.Of(site.ID).Climate.Months {
			season[i] = m.Salt != nil && *m.Salt
		}
		seasons[site.ID] = season
		byMap = byMap || climate.PlaceOf(site).Normals.MeanTemp() == nil
	}
	if byMap {
		notes = append([]string{"Salt seasons of sites without monthly temperatures of their own go by the map's."}, climate.Credits()...)
	}
	return func(site study.Site) study.SaltSeason { return seasons[site.ID] }, notes, nil
}
