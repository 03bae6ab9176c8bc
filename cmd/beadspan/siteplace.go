package main

import (
	"errors"
	"fmt"

	"beadspan/study/climate"
)

// placeFlags say where a place is.
type placeFlags struct {
	City    string   `placeholder:"NAME" xor:"where" help:"City of 50,000 people or more; region and country may follow: \"Springfield, IL, US\"."`
	Country string   `placeholder:"XX" help:"Country of the city, two letters."`
	Lat     *float64 `placeholder:"DEGREES" xor:"where" help:"Latitude, north positive."`
	Lon     *float64 `placeholder:"DEGREES" help:"Longitude, east positive."`
}

// normalsFlags say what is known of a place's weather.
type normalsFlags struct {
	AltitudeM   *float64    `name:"altitude-m" placeholder:"METRES" help:"Height above the sea."`
	TempC       twelveFlag  `name:"temp-c" placeholder:"\"12 NUMBERS\"" help:"Mean temperature of each month, °C, January first."`
	MaxC        twelveFlag  `name:"max-c" placeholder:"\"12 NUMBERS\"" help:"Mean daily maximum, °C."`
	MinC        twelveFlag  `name:"min-c" placeholder:"\"12 NUMBERS\"" help:"Mean daily minimum, °C."`
	RainMM      twelveFlag  `name:"rain-mm" placeholder:"\"12 NUMBERS\"" help:"Rain and snow of each month, mm."`
	SunshineH   oneOrTwelve `name:"sunshine-h" placeholder:"HOURS" help:"Sunshine hours of the year, or of each month."`
	CloudPct    twelveFlag  `name:"cloud-pct" placeholder:"\"12 NUMBERS\"" help:"Mean cloud cover, %, where sunshine isn't known."`
	HumidityPct twelveFlag  `name:"humidity-pct" placeholder:"\"12 NUMBERS\"" help:"Mean relative humidity, %."`
	Normals     string      `placeholder:"FILE.csv" type:"existingfile" help:"Read them from a file: a row for each month, columns named as these options (month, temp_c, rain_mm, ...)."`
}

// located is a place by name and position.
type located struct {
	Name         string
	LatitudeDeg  float64
	LongitudeDeg float64
	Notes        []string
}

// given reports whether a city or a position was named.
func (f placeFlags) given() bool { return f.City != "" || f.Lat != nil || f.Lon != nil }

// locate finds the city or takes the position.
func (f placeFlags) locate(atlas *climate.Atlas) (located, error) {
	switch {
	case f.City == "" && f.Country != "":
		return located{}, usageError("--country goes with --city")
	case f.City == "" && (f.Lat == nil || f.Lon == nil):
		return located{}, usageError("name a city with --city, or give both --lat and --lon")
	case f.City == "":
		return located{Name: position(*f.Lat, *f.Lon), LatitudeDeg: *f.Lat, LongitudeDeg: *f.Lon}, nil
	case f.Lon != nil:
		return located{}, usageError("give --city or a position, not both")
	}
	city, others, err := atlas.City(f.City, f.Country)
	if err != nil {
		return located{}, err
	}
	l := located{Name: city.String(), LatitudeDeg: city.LatitudeDeg, LongitudeDeg: city.LongitudeDeg}
	for _, other := range others {
		l.Notes = append(l.Notes, fmt.Sprintf("There is also %s, with %d people.", other, other.Population))
	}
	return l, nil
}

// fill takes over what the options and their file say of the weather.
func (f normalsFlags) fill(p *climate.Place) error {
	if f.AltitudeM != nil {
		p.AltitudeM = f.AltitudeM
	}
	if f.Normals != "" {
		n, err := readNormals(f.Normals)
		if err != nil {
			return err
		}
		overlay(&p.Normals, n)
	}
	overlay(&p.Normals, climate.Normals{
		MeanTempC: f.TempC.months, MaxTempC: f.MaxC.months, MinTempC: f.MinC.months, PrecipitationMM: f.RainMM.months,
		SunshineH: f.SunshineH.months, CloudPct: f.CloudPct.months, HumidityPct: f.HumidityPct.months,
	})
	if f.SunshineH.year != nil && p.LatitudeDeg >= -90 && p.LatitudeDeg <= 90 {
		spread := climate.SpreadSunshine(p.LatitudeDeg, *f.SunshineH.year)
		p.Normals.SunshineH = &spread
	}
	return nil
}

// overlay writes what n knows over known.
func overlay(known *climate.Normals, n climate.Normals) {
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
			return nil, fmt.Errorf("%w: check the position, or give --temp-c and --rain-mm", err)
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
		notes = append(notes, note+"; in mountains give your own with --temp-c.")
	}
	return notes, nil
}
