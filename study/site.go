package study

import (
	"slices"
	"strings"
)

// Site is where a vehicle lives, and the weather it lives in.
type Site struct {
	ID           ID
	Code         string
	Name         string
	LatitudeDeg  float64 // north is positive
	LongitudeDeg float64 // east is positive
	AltitudeM    *float64
	// Koppen is the Köppen-Geiger class, such as "Cfb".
	Koppen string
	// UVMJm2Year is the yearly ultraviolet dose on a horizontal panel, MJ/m².
	UVMJm2Year *float64
	// FreezeThawDaysYear counts days a year that pass through 0 °C.
	FreezeThawDaysYear *float64
	// Normals by month, January first: twelve values each, or none.
	MeanTempC       []float64
	PrecipitationMM []float64
	MaxTempC        []float64 // mean daily maximum; known with MinTempC or not at all
	MinTempC        []float64 // mean daily minimum
	SunshineH       []float64 // of the month
	CloudPct        []float64 // mean cloud cover
	HumidityPct     []float64 // mean relative humidity
	Note            string
}

// Validate says what is wrong with s.
func (s Site) Validate() Problems {
	var ps Problems
	ps.code("code", s.Code)
	ps.within("latitude", &s.LatitudeDeg, -90, 90, "degrees, north positive")
	ps.within("longitude", &s.LongitudeDeg, -180, 180, "degrees, east positive")
	ps.within("altitude_m", s.AltitudeM, -430, 6000, "metres")
	if !slices.Contains(koppenClasses, s.Koppen) {
		ps.add("climate", s.Koppen, "expected a Köppen-Geiger class: "+strings.Join(koppenClasses, " "))
	}
	ps.within("uv_mj_m2_year", s.UVMJm2Year, 0, 700, "MJ/m² a year")
	ps.within("freeze_thaw_days_year", s.FreezeThawDaysYear, 0, 366, "days")
	ps.normals("temp_c_monthly", s.MeanTempC, -70, 50, "°C")
	ps.normals("rain_mm_monthly", s.PrecipitationMM, 0, 5000, "mm")
	ps.normals("max_c_monthly", s.MaxTempC, -70, 60, "°C")
	ps.normals("min_c_monthly", s.MinTempC, -80, 50, "°C")
	ps.normals("sunshine_h_monthly", s.SunshineH, 0, mostSunshineH, "hours")
	ps.normals("cloud_pct_monthly", s.CloudPct, 0, 100, "%")
	ps.normals("humidity_pct_monthly", s.HumidityPct, 1, 100, "%")
	ps.dailyRange(s.MaxTempC, s.MinTempC)
	return ps
}

// mostSunshineH is a polar summer's month, with an hour a day for refraction.
const mostSunshineH = 31 * 25

// dailyRange wants maximum and minimum as a pair, and in order.
func (ps *Problems) dailyRange(high, low []float64) {
	if len(high) != len(low) {
		ps.add("max_c_monthly", "", "expected it with min_c_monthly: give both or neither")
		return
	}
	for i := range high {
		if high[i] < low[i] {
			ps.add("max_c_monthly", number(high[i]), "expected at least min_c_monthly, "+number(low[i])+" °C")
		}
	}
}

// KoppenClasses lists the thirty Köppen-Geiger classes in the order of the
// published maps: Beck et al., Scientific Data 10 (2023) 724.
func KoppenClasses() []string { return slices.Clone(koppenClasses) }

var koppenClasses = []string{
	"Af", "Am", "Aw",
	"BWh", "BWk", "BSh", "BSk",
	"Csa", "Csb", "Csc", "Cwa", "Cwb", "Cwc", "Cfa", "Cfb", "Cfc",
	"Dsa", "Dsb", "Dsc", "Dsd", "Dwa", "Dwb", "Dwc", "Dwd", "Dfa", "Dfb", "Dfc", "Dfd",
	"ET", "EF",
}

func (ps *Problems) normals(column string, values []float64, low, high float64, unit string) {
	if len(values) != 0 && len(values) != 12 {
		ps.add(column, number(float64(len(values)))+" values", "expected twelve, January first")
		return
	}
	for i := range values {
		ps.within(column, &values[i], low, high, unit)
	}
}
