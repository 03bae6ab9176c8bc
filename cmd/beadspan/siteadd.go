package main

import (
	"context"
	"fmt"

	"beadspan/study/climate"
	"beadspan/study/store"
)

type siteAddCommand struct {
	Code string `arg:"" help:"Short code of the site, as vehicles name it."`
	placeFlags
	normalsFlags
	Name string `help:"What people call the place; by default the city's name."`
	Note string `help:"Anything else worth keeping."`
}

// Help explains the command with an example.
func (siteAddCommand) Help() string {
	return `Keeps the position, the climate class, the monthly normals so far as they are known, the
yearly ultraviolet dose on a horizontal panel and the freeze-thaw days. With monthly precipitation the class is worked out by the published
rule, else it is the map's. The dose needs to know how cloudy it is: a year's sunshine
hours will do. A code that is stored already with other content stays as it is; the
difference becomes a proposed amendment.

Example:
  beadspan site add harbour --city Bremerhaven --sunshine-h 1600 --name "Harbour lane"
  beadspan site add hill --lat 47.2 --lon 11.3 --altitude-m 900 --rain-mm "52 48 60 62 92 110 125 118 82 65 62 58"`
}

// Run adds the site.
func (c siteAddCommand) Run(ctx context.Context, a *app) error {
	atlas, err := climate.OpenAtlas()
	if err != nil {
		return err
	}
	where, err := c.locate(atlas)
	if err != nil {
		return err
	}
	year, err := yearOf(atlas, where, climate.Place{}, c.normalsFlags)
	if err != nil {
		return err
	}
	if c.Name == "" && c.City != "" {
		c.Name = where.Name
	}
	site, err := year.Site(c.Code, c.Name, c.Note)
	if err != nil {
		return usageError("site add: " + err.Error())
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	loaded, err := s.AddSite(ctx, site)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "site %s: %s\n\n%s\n'beadspan site climate %s' shows the year month by month.\n%s",
		site.Code, addedWords(loaded), year.summary(), site.Code, creditLines())
	return err
}

func addedWords(l store.Loaded) string {
	switch {
	case l.Added.Sites > 0:
		return "added"
	case l.Proposed > 0:
		return "stored before with other content, which stays; the difference is proposed as an amendment: see 'beadspan amend list'"
	case l.ProposedBefore > 0:
		return "stored before with other content, which stays; the same amendment was proposed before: see 'beadspan amend list'"
	}
	return "stored before, and nothing is different"
}
