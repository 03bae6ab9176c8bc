package simulate

import (
	"slices"
	"time"

	"beadspan/study"
)

// Seed is the seed of the committed demo: the first from 20240501 on with which
// every awkward case turns up.
const Seed = 20240505

// The study takes vehicles in for eleven months and follows them for thirty.
// The last weeks are kept free for second readings, so that no fail is left
// waiting for its confirmation only because the study ended.
func firstDay() study.Day   { return study.DayOf(2024, time.May, 1) }
func lastIntake() study.Day { return study.DayOf(2025, time.March, 31) }
func lastRound() study.Day  { return study.DayOf(2026, time.September, 25) }
func lastDay() study.Day    { return study.DayOf(2026, time.October, 31) }

// product is a coating of the scenario.
type product struct {
	code, name          string
	control             bool
	claimLow, claimHigh float64 // months
	// lifeMonths is the life of a middling patch in each climate.
	lifeMonths map[string]float64
}

// The house codes are trees; no product of the trade is meant by them.
func products() []product {
	return []product{
		{
			code: "ALDER", name: "wipe-on silane sealant, one layer", claimLow: 6, claimHigh: 12,
			lifeMonths: map[string]float64{"Cfb": 12, "Dfb": 11, "Cfa": 9, "BWh": 7.5},
		},
		{
			code: "BIRCH", name: "flexible silica coating", claimLow: 12, claimHigh: 24,
			lifeMonths: map[string]float64{"Cfb": 18, "Dfb": 16.5, "Cfa": 14, "BWh": 10.5},
		},
		{
			code: "CEDAR", name: "flexible silazane coating", claimLow: 18, claimHigh: 24,
			lifeMonths: map[string]float64{"Cfb": 26, "Dfb": 21, "Cfa": 18.5, "BWh": 14},
		},
		{code: "BARE", name: "no coating: prepared and left bare", control: true},
	}
}

// shop is one site of the scenario with the people who work there.
type shop struct {
	site      study.Site
	letter    string // begins the codes of its vehicles
	vehicles  int
	controls  int // vehicles with a bare patch
	operators []operator
	// coldMonths are those in which roads are salted and visits slip.
	coldMonths []time.Month
	garages    []weighted[study.Garage]
}

// operator reads angles with an eye of their own.
type operator struct {
	code      string
	offsetDeg float64
}

func (s shop) climate() string { return s.site.Koppen }

func (s shop) salted(day study.Day) bool {
	return slices.Contains(s.coldMonths, day.Time().Month())
}

// The shops lie at plausible points of their climates. Monthly normals are
// rounded from a public table of city weather; UV and freeze-thaw days are
// plausible figures, from memory.
func shops() []shop {
	return []shop{
		{
			letter: "Q", vehicles: 50, controls: 4,
			site: study.Site{
				Code: "QUAY", Name: "harbour shop, mild and wet", LatitudeDeg: 52.4, LongitudeDeg: 4.8, AltitudeM: new(2.0),
				Koppen: "Cfb", UVMJm2Year: new(185.0), FreezeThawDaysYear: new(45.0),
				MeanTempC:       []float64{5, 4.5, 8, 9, 13.5, 14, 16, 16, 13.5, 11.5, 7.5, 4},
				PrecipitationMM: []float64{68, 47, 65, 52, 59, 70, 74, 69, 64, 70, 82, 85},
			},
			operators:  []operator{{"QM", 1.2}, {"QT", -1.4}},
			coldMonths: []time.Month{time.December, time.January, time.February},
			garages:    []weighted[study.Garage]{{0.35, study.Indoors}, {0.25, study.Carport}, {0.40, study.Outdoors}},
		},
		{
			letter: "S", vehicles: 42, controls: 3,
			site: study.Site{
				Code: "SPRUCE", Name: "inland shop, salted winters", LatitudeDeg: 59.9, LongitudeDeg: 10.8, AltitudeM: new(95.0),
				Koppen: "Dfb", UVMJm2Year: new(165.0), FreezeThawDaysYear: new(95.0),
				MeanTempC:       []float64{-2, -1, 1, 6, 11.5, 15.5, 17.5, 17.5, 12.5, 7, 2, -1.5},
				PrecipitationMM: []float64{55.6, 41.8, 37.7, 61.6, 64, 72.2, 87.4, 93.9, 83.9, 97.3, 82.1, 46.7},
			},
			operators:  []operator{{"SK", -1.1}, {"SL", 1.6}},
			coldMonths: []time.Month{time.November, time.December, time.January, time.February, time.March},
			garages:    []weighted[study.Garage]{{0.50, study.Indoors}, {0.20, study.Carport}, {0.30, study.Outdoors}},
		},
		{
			letter: "D", vehicles: 34, controls: 3,
			site: study.Site{
				Code: "DUNE", Name: "desert shop, hot and dusty", LatitudeDeg: 25.1, LongitudeDeg: 55.3, AltitudeM: new(8.0),
				Koppen: "BWh", UVMJm2Year: new(380.0), FreezeThawDaysYear: new(0.0),
				MeanTempC:       []float64{19.5, 20.5, 23, 27, 31.5, 34, 35.5, 36, 33.5, 30, 25.5, 21.5},
				PrecipitationMM: []float64{8.1, 2.6, 5.2, 1.2, 3.8, 0, 0, 1.5, 1.3, 1.6, 1.7, 7.5},
			},
			operators: []operator{{"DH", 1.8}, {"DR", -1.5}},
			garages:   []weighted[study.Garage]{{0.25, study.Indoors}, {0.45, study.Carport}, {0.30, study.Outdoors}},
		},
		{
			letter: "R", vehicles: 34, controls: 2,
			site: study.Site{
				Code: "REED", Name: "river shop, humid summers", LatitudeDeg: -27.5, LongitudeDeg: 153.0, AltitudeM: new(25.0),
				Koppen: "Cfa", UVMJm2Year: new(330.0), FreezeThawDaysYear: new(0.0),
				MeanTempC:       []float64{25, 25, 23.5, 21, 18.5, 16, 14.5, 15.5, 18, 20.5, 22, 23.5},
				PrecipitationMM: []float64{97.3, 142.7, 85.8, 80.9, 107.4, 51.6, 28.6, 33.6, 28.4, 60.4, 98.4, 112.8},
			},
			operators: []operator{{"RE", -1.3}, {"RW", 1.1}},
			garages:   []weighted[study.Garage]{{0.30, study.Indoors}, {0.35, study.Carport}, {0.35, study.Outdoors}},
		},
	}
}
