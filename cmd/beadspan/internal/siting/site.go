package siting

import (
	"fmt"
	"math"
	"strings"

	"beadspan/study"
	"beadspan/study/climate"
)

// Site is what is kept of a place and its weather, under a code and a name.
// Figures are kept to the digits that they are good for, so that the same words
// give the same site. The note is followed by what the figures rest on.
//
// It returns study.Problems for a site that is not valid.
func (w Weather) Site(code, name, note string) (study.Site, error) {
	s := study.Site{
		ID: study.NewID(), Code: code, Name: name,
		LatitudeDeg: w.LatitudeDeg, LongitudeDeg: w.LongitudeDeg, AltitudeM: w.AltitudeM,
		Koppen:             w.Class,
		FreezeThawDaysYear: keep(w.Year.FreezeThawDays),
		PrecipitationMM:    w.Normals.PrecipitationMM.Slice(),
		MaxTempC:           w.Normals.MaxTempC.Slice(),
		MinTempC:           w.Normals.MinTempC.Slice(),
		SunshineH:          keepAll(w.Normals.SunshineH),
		CloudPct:           w.Normals.CloudPct.Slice(),
		HumidityPct:        w.Normals.HumidityPct.Slice(),
		Note:               strings.TrimSpace(note + "\n" + w.provenance()),
	}
	if w.Year.UV != nil {
		s.UVMJm2Year = keep(&w.Year.UV.HorizontalMJm2)
	}
	for _, m := range w.Months {
		if m.MeanTempC != nil {
			s.MeanTempC = append(s.MeanTempC, *keep(m.MeanTempC))
		}
	}
	return s, s.Validate().OrNil()
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
func (w Weather) provenance() string {
	var words []string
	switch w.ClassFrom {
	case climate.FromRule:
		words = append(words, "class by rule from monthly normals")
	case climate.FromMap:
		words = append(words, "class from the map of Beck et al. 2023")
	}
	if w.tempsFromMap {
		words = append(words, "temperatures 1991-2020 from NOAA PSL's grid")
	}
	if how := skyWords(w.Sky); how != "" {
		words = append(words, fmt.Sprintf("UV as %g %% of sunlight, clouds %s", 100*w.Assumptions.UVShare, how))
	}
	if w.Year.FreezeThawDays != nil {
		words = append(words, "freeze-thaw days estimated from monthly means")
	}
	if w.sunshineSpread {
		words = append(words, "sunshine hours of the year spread over its months by daylight")
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
