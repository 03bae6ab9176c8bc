package main

import (
	"context"
	"errors"
	"fmt"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/study"
	"beadspan/study/climate"
)

type siteClimateCommand struct {
	Code string `arg:"" optional:"" help:"A stored site; or name a city or a position."`
	placeFlags
	normalsFlags
	Heading *float64 `placeholder:"DEGREES" help:"Compass heading that vertical panels look to, 0 north, 90 east; without it the mean of all."`
	JSON    bool     `name:"json" help:"Print JSON at full precision."`
}

// Help explains the command with an example.
func (siteClimateCommand) Help() string {
	return `Shows the climate class in words, the ultraviolet dose on horizontal and vertical
panels, freeze-thaw days and the salt season, by year and by month. A city or a position
needs no database. Of a stored site, options replace what is stored for this once.
What the figures rest on is said below them.

Example:
  beadspan site climate --city Phoenix --sunshine-h 3870
  beadspan site climate --city "Springfield, IL" --max-c "2 5 11 18 24 29 31 30 27 19 11 4" --min-c "-7 -5 0 6 12 17 19 18 13 7 1 -4"
  beadspan site climate --lat -33.9 --lon 18.4 --heading 0 --json
  beadspan site climate harbour`
}

// Run shows the year.
func (c siteClimateCommand) Run(ctx context.Context, a *app) error {
	if (c.Code != "") == c.given() {
		return usageError("site climate: name one of a stored site, a city (--city) or a position (--lat and --lon)")
	}
	atlas, err := climate.OpenAtlas()
	if err != nil {
		return err
	}
	var where siting.Where
	var p climate.Place
	if c.Code == "" {
		where, err = c.locate(atlas)
	} else {
		where, p, err = a.storedPlace(ctx, c.Code)
	}
	if err != nil {
		return err
	}
	p.HeadingDeg = c.Heading
	year, err := yearOf(atlas, where, p, c.normalsFlags)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(a.out, year)
	}
	_, err = fmt.Fprint(a.out, year.text())
	return err
}

// storedPlace is what the store knows of a site.
func (a *app) storedPlace(ctx context.Context, code string) (siting.Where, climate.Place, error) {
	s, err := a.openStore(ctx)
	if err != nil {
		return siting.Where{}, climate.Place{}, err
	}
	defer s.Close()
	site, err := s.SiteByCode(ctx, code)
	if errors.Is(err, study.ErrNotFound) {
		return siting.Where{}, climate.Place{}, fmt.Errorf("there is no site %q: 'beadspan site list' shows them; for a city say --city", code)
	}
	if err != nil {
		return siting.Where{}, climate.Place{}, err
	}
	name := site.Code
	if site.Name != "" {
		name += ", " + site.Name
	}
	where := siting.Where{Name: name, LatitudeDeg: site.LatitudeDeg, LongitudeDeg: site.LongitudeDeg}
	if site.Note != "" {
		where.Notes = []string{"Kept with the site: " + site.Note + "."}
	}
	return where, climate.PlaceOf(site), nil
}

// placeYear is the climate of a named place, for people and machines.
type placeYear struct{ siting.Weather }

// yearOf works out the climate of a place, of which known may be known, the
// options tell more, and the maps the rest.
func yearOf(atlas *climate.Atlas, where siting.Where, known climate.Place, f normalsFlags) (placeYear, error) {
	more, err := f.known()
	if err != nil {
		return placeYear{}, err
	}
	w, err := siting.WeatherOf(atlas, where, known, more)
	if errors.As(err, new(study.Problems)) {
		err = usageError("site: " + err.Error())
	}
	return placeYear{w}, err
}
