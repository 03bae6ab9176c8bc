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
	return ps
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
