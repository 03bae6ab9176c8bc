package climate

import (
	"fmt"
	"math"
	"slices"
)

// Neighbour is a class that a small change of the normals would give.
type Neighbour struct {
	Class  string `json:"class"`
	Change string `json:"change"` // the least change that gives it, in words
}

// How far Neighbours looks: normals of other decades, and the mean of a map's
// cell, differ from a station's by about as much. Common practice, no source.
const (
	borderTempC = 0.5
	borderRain  = 0.10
)

// Neighbours lists the classes within 0.5 °C or 10 % of the precipitation (of
// the year, of summer, of winter) of a class, each with the least such change.
// A place with any is borderline: treat its class as a label, not a fact.
func Neighbours(tempC, rainMM Monthly) ([]Neighbour, error) {
	here, err := Classify(tempC, rainMM)
	if err != nil {
		return nil, err
	}
	summer, winter := halfYears(tempC)
	year := slices.Concat(summer, winter)
	var found []Neighbour
	for _, n := range []nudge{
		{"%g °C warmer", borderTempC, warmer(1)},
		{"%g °C colder", borderTempC, warmer(-1)},
		{"%g %% wetter", 100 * borderRain, wetter(year, 1)},
		{"%g %% drier", 100 * borderRain, wetter(year, -1)},
		{"%g %% wetter in summer", 100 * borderRain, wetter(summer, 1)},
		{"%g %% drier in summer", 100 * borderRain, wetter(summer, -1)},
		{"%g %% wetter in winter", 100 * borderRain, wetter(winter, 1)},
		{"%g %% drier in winter", 100 * borderRain, wetter(winter, -1)},
	} {
		class, amount := n.nearest(here.Class, tempC, rainMM)
		known := func(n Neighbour) bool { return n.Class == class }
		if class != here.Class && !slices.ContainsFunc(found, known) {
			shown := math.Max(0.01, math.Ceil(100*amount-0.001)/100) // never 0
			found = append(found, Neighbour{class, fmt.Sprintf(n.words, shown)})
		}
	}
	return found, nil
}

// nudge is one way to change normals, by up to a limit.
type nudge struct {
	words string
	limit float64
	apply func(tempC, rainMM Monthly, amount float64) (Monthly, Monthly)
}

// nearest bisects to the least change that gives another class; class is here
// when even the limit doesn't.
func (n nudge) nearest(here string, tempC, rainMM Monthly) (class string, amount float64) {
	at := func(amount float64) string {
		k := koppenFigures(n.apply(tempC, rainMM, amount))
		return k.class()
	}
	low, high := 0.0, n.limit
	class = at(high)
	if class == here {
		return here, high
	}
	for range 20 { // to a millionth of the limit
		middle := (low + high) / 2
		if c := at(middle); c == here {
			low = middle
		} else {
			class, high = c, middle
		}
	}
	return class, high
}

func warmer(sign float64) func(Monthly, Monthly, float64) (Monthly, Monthly) {
	return func(tempC, rainMM Monthly, amount float64) (Monthly, Monthly) {
		return tempC.each(func(_ int, t float64) float64 { return t + sign*amount }), rainMM
	}
}

func wetter(months []int, sign float64) func(Monthly, Monthly, float64) (Monthly, Monthly) {
	return func(tempC, rainMM Monthly, percent float64) (Monthly, Monthly) {
		for _, m := range months {
			rainMM[m] *= 1 + sign*percent/100
		}
		return tempC, rainMM
	}
}
