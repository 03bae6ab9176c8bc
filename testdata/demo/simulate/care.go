package simulate

import (
	"math"
	"slices"

	"beadspan/study"
)

// What befalls vehicles and patches, as a share of them each year or in all.
// None of it depends on the state of a coating.
const (
	soldPerYear = 0.07
	lostPerYear = 0.06
	// polishedPerYear and its like befall one patch.
	polishedPerYear   = 0.03 // polished through, on paint
	repaintedPerYear  = 0.02 // on paint
	refilmedPerYear   = 0.03 // film or wrap replaced
	topped            = 0.12 // vehicles that ever get a topper
	clayedPerYear     = 0.05
	recoatedOnceSpent = 0.35 // at each visit after the shop knows it is spent

	// A topper repels by itself, and wears off.
	topperDeg  = 108.0
	topperDays = 60.0
)

// leaving draws the day on which a vehicle is sold or lost sight of, if that
// comes before the study's last day.
func (c chance) leaving(from study.Day) (care study.Care, leaves bool) {
	sold, lost := from+c.waiting(soldPerYear), from+c.waiting(lostPerYear)
	care = study.Care{ID: study.NewID(), Day: min(sold, lost), Kind: study.Sold}
	if lost < sold {
		care.Kind = study.Lost
	}
	return care, care.Day <= lastDay()
}

// patchEnd draws the day on which a patch loses its coating to other work.
func (c chance) patchEnd(p study.Patch, from study.Day) (care study.Care, ends bool) {
	care = study.Care{ID: study.NewID(), PatchID: new(p.ID)}
	if p.Substrate == study.Paint {
		care.Kind, care.Day = study.PolishThrough, from+c.waiting(polishedPerYear)
		if repainted := from + c.waiting(repaintedPerYear); repainted < care.Day {
			care.Kind, care.Day = study.Repaint, repainted
		}
	} else {
		care.Kind, care.Day = study.FilmReplaced, from+c.waiting(refilmedPerYear)
	}
	return care, care.Day <= lastDay()
}

// ownersCare draws what an owner has done between checkups: a topper, a clay
// treatment.
func (c chance) ownersCare(from, last study.Day) []study.Care {
	var care []study.Care
	if c.happens(topped) {
		for day := c.dayWithin(from, lastDay()); day <= last; day += c.days(90, 240) {
			care = append(care, study.Care{ID: study.NewID(), Day: day, Kind: study.Topper, Note: "spray sealant at home"})
		}
	}
	if day := from + c.waiting(clayedPerYear); day <= last {
		care = append(care, study.Care{ID: study.NewID(), Day: day, Kind: study.Clay})
	}
	return care
}

// toppedDeg is the angle of a clean panel under the toppers it was given. A
// topper of the day itself comes after the day's readings.
func toppedDeg(cleanDeg float64, care []study.Care, day study.Day) float64 {
	best := cleanDeg
	for _, c := range care {
		if c.Kind == study.Topper && c.Day < day {
			left := math.Exp(-float64(day-c.Day) / topperDays)
			best = math.Max(best, cleanDeg+(topperDeg-cleanDeg)*left)
		}
	}
	return best
}

func inOrder(care []study.Care) {
	slices.SortStableFunc(care, func(a, b study.Care) int { return int(a.Day - b.Day) })
}
