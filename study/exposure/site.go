package exposure

import (
	"fmt"
	"time"

	"beadspan/study"
	"beadspan/study/climate"
)

// Site is the weather of a usual year where vehicles live, added up once so
// that the load of any patch between any days is found at once.
type Site struct {
	// Climate is what the loads are made of, with its assumptions and notes.
	Climate climate.Climate

	horizontal, vertical *year // UV
	freezeThaw           *year
	salt, heat           *year
	why                  map[Clock]string // the load isn't known
}

// NewSite adds up a climate. freezeThawDaysYear, if not nil, is a yearly count
// that is known better than by the model: the months then share it as the model
// has them, or evenly where the model has none.
func NewSite(c climate.Climate, freezeThawDaysYear *float64) *Site {
	s := &Site{Climate: c, why: map[Clock]string{}}
	s.sum(UV, &s.horizontal, "how cloudy it is there isn't known, so neither is the ultraviolet dose: give the site a yearly dose or sunshine hours",
		func(m climate.Month) *float64 { return horizontalOf(m.UV) })
	s.sum(UV, &s.vertical, s.why[UV], func(m climate.Month) *float64 { return verticalOf(m.UV) })
	const noTemps = "the site has no monthly mean temperatures"
	s.sum(FreezeThaw, &s.freezeThaw, noTemps, func(m climate.Month) *float64 { return m.FreezeThawDays })
	s.sum(Heat, &s.heat, noTemps, func(m climate.Month) *float64 { return m.HeatDays })
	s.sum(Salt, &s.salt, noTemps, func(m climate.Month) *float64 { return m.FrostDays })
	if s.salt != nil {
		s.salt = saltYear(c)
	}
	if freezeThawDaysYear != nil {
		s.freezeThaw = scaled(s.freezeThaw, *freezeThawDaysYear)
		delete(s.why, FreezeThaw)
	}
	return s
}

// NewSites adds up the sites of a fleet. A site without mean temperatures gets
// those of the atlas, if there is one. A site whose record isn't valid is an
// error that names it.
func NewSites(sites []study.Site, atlas *climate.Atlas, a climate.Assumptions) (Sites, error) {
	all := Sites{}
	for _, site := range sites {
		place := climate.PlaceOf(site)
		fromMap := askMap(atlas, &place)
		c, err := climate.Of(place, a)
		if err != nil {
			return nil, fmt.Errorf("climate of site %s: %w", site.Code, err)
		}
		if fromMap {
			c.Notes = append(c.Notes, "Mean temperatures are the map's, of a cell about 55 km wide.")
		}
		all[site.ID] = NewSite(c, site.FreezeThawDaysYear)
	}
	return all, nil
}

// askMap takes the mean temperatures from the map, if the place has none and
// the map has some, and reports whether it did.
func askMap(atlas *climate.Atlas, p *climate.Place) bool {
	if atlas == nil || p.Normals.MeanTemp() != nil {
		return false
	}
	spot, err := atlas.At(p.LatitudeDeg, p.LongitudeDeg)
	if err != nil {
		return false // at sea, or nowhere: what isn't known stays so
	}
	p.Normals.MeanTempC = &spot.MeanTempC
	return true
}

// Sites holds the sites of a fleet by their ids.
type Sites map[study.ID]*Site

// Of returns a site; of one that isn't there, a site of which no weather is
// known.
func (all Sites) Of(id study.ID) *Site {
	if s, found := all[id]; found {
		return s
	}
	s := &Site{why: map[Clock]string{}}
	for _, c := range Clocks() {
		if c.weather() {
			s.why[c] = "the vehicle's site isn't known"
		}
	}
	return s
}

// sum adds up a month's load, or says why it isn't known.
func (s *Site) sum(c Clock, into **year, why string, of func(climate.Month) *float64) {
	var months [12]float64
	for i, m := range s.Climate.Months {
		load := of(m)
		if load == nil {
			s.why[c] = why
			return
		}
		months[i] = *load
	}
	*into = newYear(months)
}

func horizontalOf(d *climate.Dose) *float64 {
	if d == nil {
		return nil
	}
	return &d.HorizontalMJm2
}

func verticalOf(d *climate.Dose) *float64 {
	if d == nil {
		return nil
	}
	return &d.VerticalMJm2
}

// saltYear counts the days of the months of the salt season.
func saltYear(c climate.Climate) *year {
	const anyYear = 2025 // of 365 days
	var months [12]float64
	for i, m := range c.Months {
		if *m.Salt {
			months[i] = float64(daysOf(anyYear, time.Month(i+1)))
		}
	}
	return newYear(months)
}

// scaled shares a year's count out over the months as y has them.
func scaled(y *year, total float64) *year {
	var months [12]float64
	for m := range months {
		months[m] = total / 12
		if y != nil && y.total() > 0 {
			months[m] = total * (y.before[m+1] - y.before[m]) / y.total()
		}
	}
	return newYear(months)
}
