package siting

import (
	"errors"
	"fmt"

	"beadspan/study/climate"
)

// Known is what somebody knows of the weather of a place; what it leaves out
// the maps tell, so far as they can.
type Known struct {
	AltitudeM *float64
	Normals   climate.Normals
	// SunshineYearH are the sunshine hours of a year, in place of those of each
	// month.
	SunshineYearH *float64
}

// Weather is what a usual year of a place comes to, and what that rests on.
type Weather struct {
	Name string `json:"name"`
	climate.Climate
	Credits []string `json:"credits"`

	tempsFromMap, sunshineSpread bool
}

// WeatherOf works out the weather of a place, of which stored may be stored,
// known tells more, and the maps the rest.
//
// It returns study.Problems for what is known and can't be, and an error that
// is climate.ErrNoLand where the maps have nothing and too little is known.
func WeatherOf(atlas *climate.Atlas, where Where, stored climate.Place, known Known) (Weather, error) {
	p := stored
	p.LatitudeDeg, p.LongitudeDeg = where.LatitudeDeg, where.LongitudeDeg
	known.over(&p)
	if err := p.Validate().OrNil(); err != nil {
		return Weather{}, err
	}
	ownTemps := p.Normals.MeanTemp() != nil
	notes, err := askMaps(atlas, &p)
	if err != nil {
		return Weather{}, err
	}
	c, err := climate.Of(p, climate.DefaultAssumptions())
	if err != nil {
		return Weather{}, err
	}
	c.Notes = append(append(where.Notes, notes...), c.Notes...)
	return Weather{Name: where.Name, Climate: c, Credits: climate.Credits(),
		tempsFromMap: !ownTemps && p.Normals.MeanTempC != nil, sunshineSpread: known.SunshineYearH != nil}, nil
}

// over writes what is known over what a place has.
func (k Known) over(p *climate.Place) {
	if k.AltitudeM != nil {
		p.AltitudeM = k.AltitudeM
	}
	Overlay(&p.Normals, k.Normals)
	if k.SunshineYearH != nil && p.LatitudeDeg >= -90 && p.LatitudeDeg <= 90 {
		spread := climate.SpreadSunshine(p.LatitudeDeg, *k.SunshineYearH)
		p.Normals.SunshineH = &spread
	}
}

// Overlay writes what n knows over known.
func Overlay(known *climate.Normals, n climate.Normals) {
	for _, list := range []struct{ into, from **climate.Monthly }{
		{&known.MeanTempC, &n.MeanTempC},
		{&known.MaxTempC, &n.MaxTempC},
		{&known.MinTempC, &n.MinTempC},
		{&known.PrecipitationMM, &n.PrecipitationMM},
		{&known.SunshineH, &n.SunshineH},
		{&known.CloudPct, &n.CloudPct},
		{&known.HumidityPct, &n.HumidityPct},
	} {
		if *list.from != nil {
			*list.into = *list.from
		}
	}
}

// askMaps adds the maps' class, and their temperatures where none are known,
// and says how far the maps had to reach. At sea the maps have nothing.
func askMaps(atlas *climate.Atlas, p *climate.Place) (notes []string, err error) {
	spot, err := atlas.At(p.LatitudeDeg, p.LongitudeDeg)
	if errors.Is(err, climate.ErrNoLand) {
		if p.RecordClass == "" && (p.Normals.MeanTemp() == nil || p.Normals.PrecipitationMM == nil) {
			return nil, fmt.Errorf("%w: check the position, or give the mean temperature and the rain of each month", err)
		}
		return []string{"The maps have no land near here."}, nil
	}
	if err != nil {
		return nil, err
	}
	p.MapClass = spot.Class
	if spot.ClassKM > 0 {
		notes = append(notes, fmt.Sprintf("The map's class is that of the nearest land, %.0f km off.", spot.ClassKM))
	}
	if p.Normals.MeanTemp() == nil {
		p.Normals.MeanTempC = &spot.MeanTempC
		note := "Mean temperatures are the map's, of a cell about 55 km wide"
		if spot.TempKM > 0 {
			note += fmt.Sprintf(" whose middle is %.0f km off, as there are none for this one", spot.TempKM)
		}
		notes = append(notes, note+"; in mountains give your own.")
	}
	return notes, nil
}
