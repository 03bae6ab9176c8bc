package survival

import (
	"errors"
	"math"
)

// ErrTimes is returned where there is no time to choose from.
var ErrTimes = errors.New("no time to inspect at")

// InspectionInformation is how much one look tells of how fast lives end. share
// is the probability S that the life still holds at the look, given that it held
// at the look before:
//
//	I(S) = S (log S)² / (1 − S)
//
// It is Fisher's information about log θ, where θ multiplies a hazard of known
// shape, from a look that only tells whether the life has ended: with H = −log S
// the score is H S/(1 − S) for a life that ended and −H for one that holds. A
// life whose end becomes known to the day gives 1, so 0.5 is worth half such a
// life. The most, 0.6476, is at S = 0.2032 or H = 1.5936 = 2 + W(−2e⁻²), the
// root of H eᴴ = 2(eᴴ − 1): for exponential lives 1.5936 means after the look
// before, for Weibull lives where the cumulated hazard has grown by as much. A
// look by which surely nothing, or everything, has ended tells nothing: 0.
//
// A share outside [0, 1], and NaN, is NaN.
//
// Source: Fisher, Phil. Trans. R. Soc. A 222 (1922) 309–368, section 12, for the
// optimum (of dilutions: the same likelihood; from memory); Nelson, Applied Life
// Data Analysis (1982), chapter 9, for lives inspected once.
func InspectionInformation(share float64) float64 {
	switch {
	case !(share >= 0 && share <= 1):
		return math.NaN()
	case share == 0 || share == 1:
		return 0
	}
	h := -math.Log(share)
	return h * h / math.Expm1(h)
}

// Inspection is a time chosen to look at lives.
type Inspection struct {
	// Best is the time that tells most, the first of several such, and
	// Information how much, in lives known to the day.
	Best        float64
	Information float64
	// Enough is the first time that tells the asked-for part of that.
	Enough float64
	// Open is true where Best is the last of the times: a later one might tell
	// more.
	Open bool
}

// PlanInspection chooses, among times in increasing order, when to look at
// several lives once and together, such as all patches of a vehicle. Each
// element of holds gives the probability that one life still holds at a time,
// given that it held when last looked at. The information of a look is the
// sum of InspectionInformation over the lives, as if they ended independently.
//
// Waiting costs something, if only that the lives may be out of sight by then;
// and the information is flat about its maximum. So Enough is told as well, the
// first time that gives a part (above 0, at most 1) of the most: for one life,
// nine tenths of it are had at H = 1.00, where 37 % would still hold.
//
// It returns nil where no look tells anything, ErrTimes without times, ErrShare
// for a part outside (0, 1].
func PlanInspection(holds []func(time float64) float64, times []float64, part float64) (*Inspection, error) {
	if len(times) == 0 {
		return nil, ErrTimes
	}
	if !(part > 0 && part <= 1) {
		return nil, ErrShare
	}
	told := make([]float64, len(times))
	best := 0
	for i, t := range times {
		for _, share := range holds {
			if x := InspectionInformation(share(t)); !math.IsNaN(x) {
				told[i] += x
			}
		}
		if told[i] > told[best] {
			best = i
		}
	}
	if told[best] == 0 {
		return nil, nil
	}
	enough := 0
	for told[enough] < part*told[best] {
		enough++
	}
	return &Inspection{
		Best:        times[best],
		Information: told[best],
		Enough:      times[enough],
		Open:        best == len(times)-1,
	}, nil
}
