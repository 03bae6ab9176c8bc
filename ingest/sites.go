package ingest

import "beadspan/study"

func siteTable() table[siteRow] {
	return table[siteRow]{
		name: siteTableName,
		note: func(s *siteRow) *string { return &s.Note },
		fields: []field[siteRow]{
			textField(Column{Name: "code", Required: true, Example: "HARBOUR", Meaning: "the shop's own code of the place"},
				func(s *siteRow) *string { return &s.Code }),
			textField(Column{Name: "name", Example: "the harbour shop", Meaning: "what people call it"},
				func(s *siteRow) *string { return &s.Name }),
			requiredNumberField(Column{Name: "latitude", Unit: "degrees", Example: "51.9", Meaning: "north is positive"},
				func(s *siteRow) *float64 { return &s.LatitudeDeg }),
			requiredNumberField(Column{Name: "longitude", Unit: "degrees", Example: "4.5", Meaning: "east is positive"},
				func(s *siteRow) *float64 { return &s.LongitudeDeg }),
			thousandsField(Column{Name: "altitude_m", Unit: "m", Example: "3", Meaning: "height above the sea"},
				func(s *siteRow) **float64 { return &s.AltitudeM }),
			wordField(Column{Name: "climate", Required: true, Example: "Cfb", Meaning: "Köppen-Geiger class"},
				koppenWords(), func(s *siteRow) *koppen { return &s.climate }),
			numberField(Column{Name: "uv_mj_m2_year", Unit: "MJ/m²", Example: "160", Meaning: "ultraviolet dose of a year on a horizontal panel"},
				func(s *siteRow) **float64 { return &s.UVMJm2Year }),
			numberField(Column{Name: "freeze_thaw_days_year", Unit: "days", Example: "40", Meaning: "days of a year that pass through 0 °C"},
				func(s *siteRow) **float64 { return &s.FreezeThawDaysYear }),
			twelveField(Column{Name: "temp_c_monthly", Unit: "°C", Example: "4 4 6 9 13 16 18 18 15 11 8 5", Meaning: "mean temperature of each month"},
				func(s *siteRow) *[]float64 { return &s.MeanTempC }),
			twelveField(Column{Name: "rain_mm_monthly", Unit: "mm", Example: "70 55 60 42 55 65 75 80 80 85 82 80", Meaning: "rain and snow of each month"},
				func(s *siteRow) *[]float64 { return &s.PrecipitationMM }),
			twelveField(Column{Name: "max_c_monthly", Unit: "°C", Example: "6 7 10 14 18 20 22 22 19 14 10 7", Meaning: "mean daily maximum of each month; goes with min_c_monthly"},
				func(s *siteRow) *[]float64 { return &s.MaxTempC }),
			twelveField(Column{Name: "min_c_monthly", Unit: "°C", Example: "1 1 2 4 8 11 13 13 11 7 4 2", Meaning: "mean daily minimum of each month"},
				func(s *siteRow) *[]float64 { return &s.MinTempC }),
			twelveField(Column{Name: "sunshine_h_monthly", Unit: "h", Example: "60 90 140 190 220 210 215 200 155 115 65 50", Meaning: "sunshine of each month"},
				func(s *siteRow) *[]float64 { return &s.SunshineH }),
			twelveField(Column{Name: "cloud_pct_monthly", Unit: "%", Example: "75 70 66 62 60 62 62 61 64 68 74 77", Meaning: "mean cloud cover of each month, where sunshine isn't known"},
				func(s *siteRow) *[]float64 { return &s.CloudPct }),
			twelveField(Column{Name: "humidity_pct_monthly", Unit: "%", Example: "88 85 82 76 75 77 78 79 83 85 88 90", Meaning: "mean relative humidity of each month"},
				func(s *siteRow) *[]float64 { return &s.HumidityPct }),
			textField(Column{Name: "note", Example: "salt air", Meaning: "anything else"},
				func(s *siteRow) *string { return &s.Note }),
		},
	}
}

// siteTableName is what the table of sites is called.
const siteTableName = "sites"

// siteRow is a site as a row; its climate class is a word of a fixed set here.
type siteRow struct {
	study.Site
	climate koppen
}

type koppen string

func koppenWords() []koppen {
	var words []koppen
	for _, class := range study.KoppenClasses() {
		words = append(words, koppen(class))
	}
	return words
}

func (r *reader) site(l *line, s *siteRow) {
	s.ID = study.NewID()
	s.Koppen = string(s.climate)
	l.check(s.Validate())
	if r.sites.define(l, s.ID) {
		r.fleet.Sites = append(r.fleet.Sites, s.Site)
	}
}

// doesWithout reports whether the log may lack a table: that of sites, too, if
// sites are known from elsewhere.
func (r *reader) doesWithout(table string) bool {
	return mayBeAbsent(table) || table == siteTableName && r.siteOf != nil
}

// siteKnownBefore takes in the site that a vehicle's line names, where the log
// has no row for it and it is known from elsewhere.
func (r *reader) siteKnownBefore(l *line) {
	code := l.cell("site")
	if _, here := r.sites.known[code]; here || code == "" || r.siteOf == nil || r.siteErr != nil || r.unknownSites[code] {
		return
	}
	site, known, err := r.siteOf(code)
	switch {
	case err != nil:
		r.siteErr = err
	case known:
		r.sites.know(code, site.ID)
		r.fleet.Sites = append(r.fleet.Sites, site)
	default:
		r.unknownSites[code] = true
	}
}
