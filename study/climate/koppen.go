package climate

import (
	"errors"
	"slices"
)

// Koppen is a Köppen-Geiger class with the figures that decide it. Summer is
// the warmer of April to September and October to March.
type Koppen struct {
	Class string `json:"class"`

	MeanC           float64 `json:"mean_c"`         // of the year
	HottestC        float64 `json:"hottest_c"`      // mean of the warmest month
	ColdestC        float64 `json:"coldest_c"`      // mean of the coldest month
	MonthsFrom10C   int     `json:"months_from_10"` // months at 10 °C or above
	YearMM          float64 `json:"year_mm"`        // precipitation of the year
	DriestMM        float64 `json:"driest_mm"`      // of the driest month
	SummerDriestMM  float64 `json:"summer_driest_mm"`
	SummerWettestMM float64 `json:"summer_wettest_mm"`
	WinterDriestMM  float64 `json:"winter_driest_mm"`
	WinterWettestMM float64 `json:"winter_wettest_mm"`
	SummerMM        float64 `json:"summer_mm"` // precipitation of the summer half
	// AridBelowMM is the precipitation below which the climate is arid (B),
	// and below half of which it is a desert: 10 Pthreshold.
	AridBelowMM float64 `json:"arid_below_mm"`
}

// ErrNormals says that normals can't be classified: a temperature or a
// precipitation is no finite number, or a precipitation is negative.
var ErrNormals = errors.New("the monthly normals must be finite numbers and the precipitation not negative")

// Classify finds the Köppen-Geiger class of mean temperatures in °C and
// precipitation in mm. Each year of finite normals has exactly one of the
// thirty classes. With MAT and MAP the year's mean temperature and
// precipitation, Thot, Tcold the warmest and coldest month, P… the driest or
// wettest month of summer (s) or winter (w):
//
//	Pthreshold = 2 MAT       if at least 70 % of MAP falls in winter
//	             2 MAT + 28  if at least 70 % of MAP falls in summer
//	             2 MAT + 14  else
//	B  MAP < 10 Pthreshold, tested first; W: MAP < 5 Pthreshold, else S;
//	   h: MAT ≥ 18, else k
//	A  Tcold ≥ 18; f: Pdry ≥ 60, m: Pdry ≥ 100 − MAP/25, else w
//	E  Thot ≤ 10; T: Thot > 0, else F
//	C  Tcold > 0, else D
//	   s: Psdry < 40 and Psdry < Pwwet/3; w: Pwdry < Pswet/10; f: neither.
//	   Both: w if more falls in summer, else s
//	   a: Thot ≥ 22; b: not a and at least 4 months ≥ 10 °C;
//	   d: D only, not a or b, Tcold < −38; else c
//
// Where no rain falls at all there is no wetter half. Half-years equally warm
// make October to March the summer, as in the maps' own program; the paper
// leaves it open.
//
// Sources: Peel, Finlayson and McMahon, Hydrol. Earth Syst. Sci. 11 (2007)
// 1633–1644, table 1, with the border of C and D at 0 °C of Beck et al.,
// Scientific Data 5 (2018) 180214 and 10 (2023) 724. The maps' program takes
// months above 10 °C where the paper has at or above.
func Classify(tempC, rainMM Monthly) (Koppen, error) {
	if !tempC.finite() || !rainMM.finite() || slices.Min(rainMM[:]) < 0 {
		return Koppen{}, ErrNormals
	}
	k := koppenFigures(tempC, rainMM)
	k.Class = k.class()
	return k, nil
}

func koppenFigures(tempC, rainMM Monthly) Koppen {
	summer, winter := halfYears(tempC)
	inSummer, inWinter := rainMM.over(summer), rainMM.over(winter)
	k := Koppen{
		MeanC:           tempC.Mean(),
		HottestC:        slices.Max(tempC[:]),
		ColdestC:        slices.Min(tempC[:]),
		YearMM:          rainMM.Sum(),
		DriestMM:        slices.Min(rainMM[:]),
		SummerDriestMM:  slices.Min(inSummer),
		SummerWettestMM: slices.Max(inSummer),
		WinterDriestMM:  slices.Min(inWinter),
		WinterWettestMM: slices.Max(inWinter),
		SummerMM:        sum(inSummer),
	}
	for _, t := range tempC {
		if t >= 10 {
			k.MonthsFrom10C++
		}
	}
	k.AridBelowMM = 10 * (2*k.MeanC + k.seasonTerm(sum(inWinter)))
	return k
}

// halfYears are the months, counted from 0, of the warmer and the colder half.
func halfYears(tempC Monthly) (summer, winter []int) {
	aprSep := []int{3, 4, 5, 6, 7, 8}
	octMar := []int{9, 10, 11, 0, 1, 2}
	if sum(tempC.over(aprSep)) > sum(tempC.over(octMar)) {
		return aprSep, octMar
	}
	return octMar, aprSep
}

// seasonTerm is what Pthreshold adds to 2 MAT: rain in the heat evaporates.
func (k Koppen) seasonTerm(winterMM float64) float64 {
	switch {
	case k.YearMM == 0:
		return 14
	case winterMM >= 0.7*k.YearMM:
		return 0
	case k.SummerMM >= 0.7*k.YearMM:
		return 28
	}
	return 14
}

func (k Koppen) class() string {
	switch {
	case k.YearMM < k.AridBelowMM:
		return "B" + k.aridLetters()
	case k.ColdestC >= 18:
		return "A" + k.tropicalLetter()
	case k.HottestC <= 0:
		return "EF"
	case k.HottestC <= 10:
		return "ET"
	case k.ColdestC > 0:
		return "C" + k.dryLetter() + k.heatLetter()
	}
	return "D" + k.dryLetter() + k.heatLetter()
}

func (k Koppen) aridLetters() string {
	letters := "S"
	if k.YearMM < k.AridBelowMM/2 {
		letters = "W"
	}
	if k.MeanC >= 18 {
		return letters + "h"
	}
	return letters + "k"
}

func (k Koppen) tropicalLetter() string {
	switch {
	case k.DriestMM >= 60:
		return "f"
	case k.DriestMM >= 100-k.YearMM/25:
		return "m"
	}
	return "w"
}

func (k Koppen) dryLetter() string {
	drySummer := k.SummerDriestMM < 40 && k.SummerDriestMM < k.WinterWettestMM/3
	dryWinter := k.WinterDriestMM < k.SummerWettestMM/10
	if drySummer && dryWinter {
		drySummer = k.SummerMM <= k.YearMM-k.SummerMM
	}
	switch {
	case drySummer:
		return "s"
	case dryWinter:
		return "w"
	}
	return "f"
}

func (k Koppen) heatLetter() string {
	switch {
	case k.HottestC >= 22:
		return "a"
	case k.MonthsFrom10C >= 4:
		return "b"
	case k.ColdestC < -38: // D by necessity
		return "d"
	}
	return "c"
}

func sum(xs []float64) float64 {
	s := 0.0
	for _, x := range xs {
		s += x
	}
	return s
}
