package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"beadspan/study"
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
	site, err := c.site(where, year)
	if err != nil {
		return err
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

// site is what is kept of the year. Figures are kept to the digits that they
// are good for, so that the same words give the same site.
func (c siteAddCommand) site(where located, y placeYear) (study.Site, error) {
	s := study.Site{
		ID: study.NewID(), Code: c.Code, Name: c.Name,
		LatitudeDeg: where.LatitudeDeg, LongitudeDeg: where.LongitudeDeg, AltitudeM: y.AltitudeM,
		Koppen:             y.Class,
		FreezeThawDaysYear: keep(y.Year.FreezeThawDays),
		PrecipitationMM:    y.Normals.PrecipitationMM.Slice(),
		MaxTempC:           y.Normals.MaxTempC.Slice(),
		MinTempC:           y.Normals.MinTempC.Slice(),
		SunshineH:          keepAll(y.Normals.SunshineH),
		CloudPct:           y.Normals.CloudPct.Slice(),
		HumidityPct:        y.Normals.HumidityPct.Slice(),
		Note:               strings.TrimSpace(c.Note + "\n" + y.provenance()),
	}
	if c.SunshineH.year != nil {
		s.Note += "; sunshine hours of the year spread over its months by daylight"
	}
	if s.Name == "" && c.City != "" {
		s.Name = where.Name
	}
	if y.Year.UV != nil {
		s.UVMJm2Year = keep(&y.Year.UV.HorizontalMJm2)
	}
	for _, m := range y.Months {
		if m.MeanTempC != nil {
			s.MeanTempC = append(s.MeanTempC, *keep(m.MeanTempC))
		}
	}
	if err := s.Validate().OrNil(); err != nil {
		return study.Site{}, usageError("site add: " + err.Error())
	}
	return s, nil
}

// keep rounds to a hundredth.
func keep(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(math.Round(100**x) / 100)
}

// keepAll rounds to hundredths.
func keepAll(months *climate.Monthly) []float64 {
	kept := months.Slice()
	for i, x := range kept {
		kept[i] = *keep(&x)
	}
	return kept
}

// provenance says in a line what the kept figures rest on.
func (y placeYear) provenance() string {
	var words []string
	switch y.ClassFrom {
	case climate.FromRule:
		words = append(words, "class by rule from monthly normals")
	case climate.FromMap:
		words = append(words, "class from the map of Beck et al. 2023")
	}
	if y.tempsFromMap {
		words = append(words, "temperatures 1991-2020 from NOAA PSL's grid")
	}
	if how := skyWords(y.Sky); how != "" {
		words = append(words, fmt.Sprintf("UV as %g %% of sunlight, clouds %s", 100*y.Assumptions.UVShare, how))
	}
	if y.Year.FreezeThawDays != nil {
		words = append(words, "freeze-thaw days estimated from monthly means")
	}
	return strings.Join(words, "; ")
}

// skyWords says how clouds were judged; nothing when they weren't.
func skyWords(s climate.Sky) string {
	switch s {
	case climate.SkySunshine:
		return "by sunshine hours"
	case climate.SkyCloud:
		return "by cloud cover"
	case climate.SkyUVDose:
		return "by the recorded dose"
	case climate.SkyTempRange:
		return "by the daily range of temperature"
	}
	return ""
}
