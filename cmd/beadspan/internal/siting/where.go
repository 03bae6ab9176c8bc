// Package siting works out the site of a place that is named by a city or a
// position: what is known of its weather goes first, and the maps of package
// climate tell the rest. It asks no network and knows neither flags nor forms.
package siting

import (
	"fmt"
	"strconv"

	"beadspan/study/climate"
)

// Where is a place by name and position.
type Where struct {
	Name         string
	LatitudeDeg  float64
	LongitudeDeg float64
	Notes        []string // what a reader must see beside it
}

// AtCity finds a city, as climate.Atlas.City does and with its errors. Others
// of its name are among the notes.
func AtCity(atlas *climate.Atlas, name, country string) (Where, error) {
	city, others, err := atlas.City(name, country)
	if err != nil {
		return Where{}, err
	}
	w := Where{Name: city.String(), LatitudeDeg: city.LatitudeDeg, LongitudeDeg: city.LongitudeDeg}
	for _, other := range others {
		w.Notes = append(w.Notes, fmt.Sprintf("There is also %s, with %d people.", other, other.Population))
	}
	return w, nil
}

// At is a place that has no name but its position, in degrees.
func At(latitudeDeg, longitudeDeg float64) Where {
	return Where{Name: Position(latitudeDeg, longitudeDeg), LatitudeDeg: latitudeDeg, LongitudeDeg: longitudeDeg}
}

// Position writes degrees as a map does, such as "53.55° N 9.99° E".
func Position(latitudeDeg, longitudeDeg float64) string {
	return degrees(latitudeDeg, "N", "S") + " " + degrees(longitudeDeg, "E", "W")
}

func degrees(x float64, positive, negative string) string {
	if x < 0 {
		x, positive = -x, negative
	}
	return strconv.FormatFloat(x, 'f', 2, 64) + "° " + positive
}
