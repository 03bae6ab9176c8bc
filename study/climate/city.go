package climate

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// City is a place of 50,000 people or more.
type City struct {
	Name         string
	Country      string // ISO 3166, two letters
	Region       string // of the country: letters in the United States, numbers in many
	LatitudeDeg  float64
	LongitudeDeg float64
	Population   int
}

// String names the city so that City finds it again.
func (c City) String() string { return fmt.Sprintf("%s, %s, %s", c.Name, c.Region, c.Country) }

// CityError says that a name isn't that of one city.
type CityError struct {
	Name string
	// Found are cities of that name, the largest first, of which none is much
	// larger than the others.
	Found []City
	// Near are, when none was found, cities with names of nearly that spelling.
	Near []City
}

// Error lists what could be meant.
func (e *CityError) Error() string {
	switch {
	case len(e.Found) > 0:
		return fmt.Sprintf("there are %d cities %q: name one as %s; or give a position", len(e.Found), e.Name, listed(e.Found))
	case len(e.Near) > 0:
		return fmt.Sprintf("no city %q among those of 50,000 people or more; nearest in spelling: %s; or give a position", e.Name, listed(e.Near))
	}
	return fmt.Sprintf("no city %q among those of 50,000 people or more: give a position", e.Name)
}

func listed(cities []City) string {
	var words []string
	for _, c := range cities[:min(len(cities), 6)] {
		words = append(words, strconv.Quote(c.String()))
	}
	return strings.Join(words, " or ")
}

// muchLarger is how many times more people a city must have than the next of
// its name to be meant by the bare name.
const muchLarger = 5

// City finds a city by name, whatever its case and accents. A country, a
// region or both may follow the name after commas, as in "Springfield, IL, US";
// country, if not empty, is another way to give that. A name that several
// cities have means the one with at least five times the people of any other;
// others are then those.
//
// It returns a *CityError when none or several are meant.
func (a *Atlas) City(name, country string) (city City, others []City, err error) {
	name, parts := nameParts(name)
	if country != "" {
		parts = append(parts, country)
	}
	var found []City
	wanted := fold(name)
	for i, c := range a.cities { // the largest come first
		if a.folded[i] == wanted && c.isIn(parts) {
			found = append(found, c)
		}
	}
	switch {
	case len(found) == 0:
		return City{}, nil, &CityError{Name: name, Near: a.near(name, parts)}
	case len(found) > 1 && found[0].Population < muchLarger*found[1].Population:
		return City{}, nil, &CityError{Name: name, Found: found}
	}
	return found[0], found[1:], nil
}

// nameParts splits "Springfield, IL, US".
func nameParts(text string) (name string, parts []string) {
	words := strings.Split(text, ",")
	for _, w := range words[1:] {
		if w = strings.TrimSpace(w); w != "" {
			parts = append(parts, w)
		}
	}
	return strings.TrimSpace(words[0]), parts
}

func (c City) isIn(parts []string) bool {
	return !slices.ContainsFunc(parts, func(p string) bool {
		return !strings.EqualFold(p, c.Country) && !strings.EqualFold(p, c.Region)
	})
}

func (a *Atlas) readCities() error {
	file, err := data.Open("data/cities_50k.csv")
	if err != nil {
		return err
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return fmt.Errorf("read the cities: %w", err)
	}
	for _, row := range rows[1:] { // csv has seen to it that rows are alike
		c := City{Name: row[0], Country: row[1], Region: row[2]}
		for i, into := range []*float64{&c.LatitudeDeg, &c.LongitudeDeg} {
			if *into, err = strconv.ParseFloat(row[3+i], 64); err != nil {
				return fmt.Errorf("read the city %s: %w", c, err)
			}
		}
		if c.Population, err = strconv.Atoi(row[5]); err != nil {
			return fmt.Errorf("read the city %s: %w", c, err)
		}
		a.cities = append(a.cities, c)
	}
	slices.SortStableFunc(a.cities, func(c, d City) int { return d.Population - c.Population })
	for _, c := range a.cities {
		a.folded = append(a.folded, fold(c.Name))
	}
	return nil
}
