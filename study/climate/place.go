package climate

import (
	"fmt"

	"beadspan/study"
)

// Place is where loads are wanted, and what is known of it.
type Place struct {
	LatitudeDeg  float64  `json:"latitude_deg"`  // north is positive
	LongitudeDeg float64  `json:"longitude_deg"` // east is positive
	AltitudeM    *float64 `json:"altitude_m"`    // nil counts as sea level
	// HeadingDeg is the compass heading that vertical panels look to, 0 to 360;
	// nil is the mean of all.
	HeadingDeg *float64 `json:"heading_deg"`
	Normals    Normals  `json:"normals"`
	// MapClass is the Köppen-Geiger class of the map there, and RecordClass
	// one that the place was recorded with; empty if there is none.
	MapClass    string `json:"map_class"`
	RecordClass string `json:"record_class"`
	// UVMJm2Year is a yearly dose on a horizontal panel that is known already.
	UVMJm2Year *float64 `json:"uv_mj_m2_year"`
}

// PlaceOf is what is recorded of a site.
func PlaceOf(s study.Site) Place {
	return Place{
		LatitudeDeg: s.LatitudeDeg, LongitudeDeg: s.LongitudeDeg, AltitudeM: s.AltitudeM,
		RecordClass: s.Koppen, UVMJm2Year: s.UVMJm2Year,
		Normals: Normals{
			MeanTempC: MonthlyOf(s.MeanTempC), PrecipitationMM: MonthlyOf(s.PrecipitationMM),
			MaxTempC: MonthlyOf(s.MaxTempC), MinTempC: MonthlyOf(s.MinTempC),
			SunshineH: MonthlyOf(s.SunshineH), CloudPct: MonthlyOf(s.CloudPct), HumidityPct: MonthlyOf(s.HumidityPct),
		},
	}
}

// Normals are the monthly means of many years, each nil if it isn't known.
type Normals struct {
	MeanTempC       *Monthly `json:"mean_temp_c"`
	PrecipitationMM *Monthly `json:"precipitation_mm"` // of the month
	MaxTempC        *Monthly `json:"max_temp_c"`       // mean daily maximum
	MinTempC        *Monthly `json:"min_temp_c"`       // mean daily minimum
	SunshineH       *Monthly `json:"sunshine_h"`       // of the month
	CloudPct        *Monthly `json:"cloud_pct"`        // mean cloud cover
	HumidityPct     *Monthly `json:"humidity_pct"`     // mean relative humidity
}

// MeanTemp is the mean temperature, or the middle of daily maximum and minimum
// where only those are known; nil where neither is.
func (n Normals) MeanTemp() *Monthly {
	if n.MeanTempC != nil || n.MaxTempC == nil || n.MinTempC == nil {
		return n.MeanTempC
	}
	middle := n.MaxTempC.each(func(m int, x float64) float64 { return (x + n.MinTempC[m]) / 2 })
	return &middle
}

// twilightH a day is what sunshine may exceed Daylight by: refraction and the
// sun's disc lengthen a day, most of all where the sun rises flat.
const twilightH = 1

// Validate says what is wrong with p. Its problems name fields by the log
// format's columns and the command line's options, which are alike.
func (p Place) Validate() study.Problems {
	var ps study.Problems
	within(&ps, "latitude", p.LatitudeDeg, -90, 90, "degrees, north positive")
	within(&ps, "longitude", p.LongitudeDeg, -180, 180, "degrees, east positive")
	if p.AltitudeM != nil {
		within(&ps, "altitude_m", *p.AltitudeM, -430, 6000, "metres")
	}
	if p.HeadingDeg != nil {
		within(&ps, "heading", *p.HeadingDeg, 0, 360, "degrees, 0 north, 90 east")
	}
	if p.UVMJm2Year != nil {
		within(&ps, "uv_mj_m2_year", *p.UVMJm2Year, 0, 700, "MJ/m² a year")
	}
	if len(ps) == 0 { // daylight needs a latitude
		p.Normals.validate(&ps, daylightHours(p.LatitudeDeg))
	}
	return ps
}

func (n Normals) validate(ps *study.Problems, daylight Monthly) {
	for _, list := range []struct {
		column    string
		values    *Monthly
		low, high float64
		unit      string
	}{
		{"temp_c", n.MeanTempC, -70, 50, "°C"},
		{"rain_mm", n.PrecipitationMM, 0, 5000, "mm"},
		{"max_c", n.MaxTempC, -70, 60, "°C"},
		{"min_c", n.MinTempC, -80, 50, "°C"},
		{"cloud_pct", n.CloudPct, 0, 100, "%"},
		{"humidity_pct", n.HumidityPct, 1, 100, "%"},
	} {
		if list.values == nil {
			continue
		}
		for i, x := range list.values {
			within(ps, list.column+" "+monthNames()[i], x, list.low, list.high, list.unit)
		}
	}
	if n.SunshineH != nil {
		for i, h := range n.SunshineH {
			most := daylight[i] + twilightH*float64(monthDays()[i])
			within(ps, "sunshine_h "+monthNames()[i], h, 0, most, "hours, as long as the sun is up there")
		}
	}
	n.validateRange(ps)
}

func (n Normals) validateRange(ps *study.Problems) {
	if (n.MaxTempC == nil) != (n.MinTempC == nil) {
		*ps = append(*ps, study.Problem{Column: "max_c, min_c", Want: "give both or neither"})
		return
	}
	if n.MaxTempC == nil {
		return
	}
	for i, high := range n.MaxTempC {
		if low := n.MinTempC[i]; high < low {
			*ps = append(*ps, study.Problem{Column: "max_c " + monthNames()[i], Got: fmt.Sprint(high),
				Want: fmt.Sprintf("expected at least min_c, %g °C", low)})
		}
	}
}

// within is written so that NaN fails it.
func within(ps *study.Problems, column string, x, low, high float64, unit string) {
	if !(low <= x && x <= high) {
		*ps = append(*ps, study.Problem{Column: column, Got: fmt.Sprint(x),
			Want: fmt.Sprintf("expected %.4g to %.4g %s", low, high, unit)})
	}
}

func (p Place) altitude() float64 {
	if p.AltitudeM == nil {
		return 0
	}
	return *p.AltitudeM
}
