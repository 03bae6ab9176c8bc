package reports

import (
	"fmt"

	"beadspan/study"
	"beadspan/study/climate"
	"beadspan/study/exposure"
)

// SitesOf works out the weather of a fleet's sites. The maps that the program
// brings along are read only where a site has no temperatures of its own.
func SitesOf(fleet study.Fleet) (exposure.Sites, error) {
	var atlas *climate.Atlas
	for _, s := range fleet.Sites {
		if climate.PlaceOf(s).Normals.MeanTemp() == nil && atlas == nil {
			var err error
			if atlas, err = climate.OpenAtlas(); err != nil {
				return nil, err
			}
		}
	}
	return exposure.NewSites(fleet.Sites, atlas, climate.DefaultAssumptions())
}

// siteTable tells of each site of the fleet what its weather does in a year.
func siteTable(fleet study.Fleet, sites exposure.Sites) Table {
	t := Table{Caption: "The study’s sites: a usual year", Head: []string{"Site", "Climate", "Vehicles",
		"UV, MJ/m²: level panels", "upright panels", "Freeze-thaw days", "Days of salt season", "Heat days"}}
	vehicles := map[study.ID]int{}
	for _, v := range fleet.Vehicles {
		vehicles[v.SiteID]++
	}
	for _, s := range fleet.Sites {
		if vehicles[s.ID] == 0 {
			continue
		}
		level, upright := yearly(sites.Of(s.ID), study.Horizontal), yearly(sites.Of(s.ID), study.Vertical)
		t.add(s.Code, classWords(s.Koppen), number(vehicles[s.ID]), whole(level.UVMJm2), whole(upright.UVMJm2),
			whole(level.FreezeThawDays), whole(level.SaltDays), whole(level.HeatDays))
	}
	return t
}

// yearly is a year's load of a panel in the open.
func yearly(site *exposure.Site, o study.Orientation) exposure.Load {
	open := exposure.Shelter{Outdoors: 1}
	return site.Patch(&study.Vehicle{Garage: study.Outdoors}, &study.Patch{Orientation: o}, open).Yearly()
}

// whole writes what is known without decimals, and – for what isn't.
func whole(x *float64) string {
	if x == nil {
		return "–"
	}
	return fmt.Sprintf("%.0f", *x)
}

// weatherWords says what the columns of the weather mean.
func weatherWords() string {
	return "UV is the ultraviolet that a panel in the open gets in a year: for scale, test sites in south Florida and Arizona are said to get about 280 and 330 on tilted panels. " +
		"Heat days are days at 25 °C that would age a coating as much as the year’s warmth does. All are of a usual year, estimated for comparing places; how much they age a coating, only checkups tell."
}
