package simulate

import (
	"math"

	"beadspan/study"
)

// Traffic film, in degrees that it takes from the angle. A maintenance wash
// takes the loose film off and leaves the bonded; a decontamination wash takes
// both, down to a trace.
const (
	looseFreshDeg    = 8.0
	looseOldDeg      = 16.0
	looseDays        = 15.0 // of growth from fresh to old
	bondedOldDeg     = 6.0
	bondedDays       = 120.0
	leastTraceDeg    = 0.2
	mostTraceDeg     = 0.8
	saltedFilm       = 1.3  // times as much film in the months of salted roads
	saltedTrace      = 2.0  // as salt dries into what the wash leaves
	verticalFilm     = 0.75 // times as much film on a door as on a bonnet
	filmSD           = 0.25 // of the logarithm of a film
	mostDaysUnwashed = 35   // owners wash at home between checkups
)

// looseFilmDeg draws what the film costs that a maintenance wash takes off.
func (c chance) looseFilmDeg(s shop, day study.Day, o study.Orientation) float64 {
	unwashed := c.between(2, mostDaysUnwashed)
	old := 1 - math.Exp(-unwashed/looseDays)
	return (looseFreshDeg + (looseOldDeg-looseFreshDeg)*old) * c.filmFactor(s, day, o)
}

// bondedFilmDeg draws what the film costs that has built up since the last
// decontamination wash.
func (c chance) bondedFilmDeg(s shop, day, lastDecon study.Day, o study.Orientation) float64 {
	built := 1 - math.Exp(-float64(day-lastDecon)/bondedDays)
	return bondedOldDeg * built * c.filmFactor(s, day, o)
}

// traceDeg draws what the film costs that no wash takes off.
func (c chance) traceDeg(s shop, day study.Day) float64 {
	trace := c.between(leastTraceDeg, mostTraceDeg)
	if s.salted(day) {
		trace *= saltedTrace
	}
	return trace
}

func (c chance) filmFactor(s shop, day study.Day, o study.Orientation) float64 {
	factor := math.Exp(c.normal(0, filmSD))
	if s.salted(day) {
		factor *= saltedFilm
	}
	if o == study.Vertical {
		factor *= verticalFilm
	}
	return factor
}
