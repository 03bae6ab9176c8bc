package main

import (
	"beadspan/cmd/beadspan/internal/siting"
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

// given reports whether a city or a position was named.
func (f placeFlags) given() bool { return f.City != "" || f.Lat != nil || f.Lon != nil }

// locate finds the city or takes the position.
func (f placeFlags) locate(atlas *climate.Atlas) (siting.Where, error) {
	switch {
	case f.City == "" && f.Country != "":
		return siting.Where{}, usageError("--country goes with --city")
	case f.City == "" && (f.Lat == nil || f.Lon == nil):
		return siting.Where{}, usageError("name a city with --city, or give both --lat and --lon")
	case f.City == "":
		return siting.At(*f.Lat, *f.Lon), nil
	case f.Lon != nil:
		return siting.Where{}, usageError("give --city or a position, not both")
	}
	return siting.AtCity(atlas, f.City, f.Country)
}

// known is what the options and their file say of the weather.
func (f normalsFlags) known() (siting.Known, error) {
	k := siting.Known{AltitudeM: f.AltitudeM, SunshineYearH: f.SunshineH.year}
	if f.Normals != "" {
		n, err := readNormals(f.Normals)
		if err != nil {
			return k, err
		}
		k.Normals = n
	}
	siting.Overlay(&k.Normals, climate.Normals{
		MeanTempC: f.TempC.months, MaxTempC: f.MaxC.months, MinTempC: f.MinC.months, PrecipitationMM: f.RainMM.months,
		SunshineH: f.SunshineH.months, CloudPct: f.CloudPct.months, HumidityPct: f.HumidityPct.months,
	})
	return k, nil
}
