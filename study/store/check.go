package store

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/climate"
)

// check says everything that keeps a fleet from being stored: values out of
// range, text that Postgres can't hold, and records that can't be told apart.
// Where it is wrong stands in the problems' File, since a fleet has no rows.
func check(f study.Fleet) study.Problems {
	var c checker
	coatings, sites, shops := c.scope("coating"), c.scope("site"), c.scope("shop")
	people, vehicles := c.scope("person"), c.scope("vehicle")
	for _, x := range f.Coatings {
		coatings.add("coating "+x.Code, x.ID, x.Code, x.Validate(), x.Name, x.Note)
	}
	for _, x := range f.Sites {
		sites.add("site "+x.Code, x.ID, x.Code, checkSite(x), x.Name, x.Note)
	}
	for _, x := range f.Shops {
		shops.add("shop "+x.Code, x.ID, x.Code, x.Validate())
	}
	for _, x := range f.People {
		people.add("person "+x.Code, x.ID, x.Code, x.Validate())
	}
	for _, v := range f.Vehicles {
		place := "vehicle " + v.Code
		vehicles.add(place, v.ID, v.Code, v.Validate(), v.Note)
		c.day(place, "enrolled", v.Enrolled)
		c.patches(place, v.Patches)
		c.checkups(place, v.Checkups)
		c.care(place, v.Care)
	}
	return c.problems
}

// checkSite says what is wrong with a site by itself, and then with its weather
// for where it lies: no month has more sunshine than daylight.
func checkSite(s study.Site) study.Problems {
	if ps := s.Validate(); len(ps) > 0 {
		return ps
	}
	return climate.PlaceOf(s).Validate()
}

type checker struct {
	problems study.Problems
}

func (c *checker) patches(vehicle string, patches []study.Patch) {
	known := c.scope("patch")
	for _, p := range patches {
		place := vehicle + " patch " + p.Code
		known.add(place, p.ID, p.Code, p.Validate(), p.Panel, p.Note)
		c.day(place, "applied", p.Applied)
	}
}

func (c *checker) checkups(vehicle string, checkups []study.Checkup) {
	known := c.scope("checkup by this operator")
	for _, k := range checkups {
		place := vehicle + " " + k.Day.String()
		known.add(place, k.ID, checkupKey{day: k.Day, operator: orZero(k.OperatorID)}, nil, k.Note)
		c.day(place, "date", k.Day)
		c.readings(place, k.Readings)
	}
}

func (c *checker) readings(checkup string, readings []study.Reading) {
	seen := make(map[stagedPatch]bool, len(readings))
	for _, r := range readings {
		place := checkup + " " + string(r.Stage)
		c.record(place, r.Validate(), r.Note)
		key := stagedPatch{r.PatchID, r.Stage}
		if seen[key] {
			c.add(place, "", r.PatchID.String(), "this patch has another reading at this stage of the checkup")
		}
		seen[key] = true
	}
}

type stagedPatch struct {
	patch study.ID
	stage study.Stage
}

func (c *checker) care(vehicle string, care []study.Care) {
	known := c.scope("care of this kind and patch")
	for _, x := range care {
		place := fmt.Sprintf("%s %s %s", vehicle, x.Day, x.Kind)
		known.add(place, x.ID, careKey{day: x.Day, kind: x.Kind, patch: orZero(x.PatchID)}, x.Validate(), x.Note)
		c.day(place, "date", x.Day)
	}
}

// scope is where a natural key, and an id, stand for one record only.
type scope struct {
	*checker
	noun string
	ids  map[study.ID]bool
	keys map[any]bool
}

func (c *checker) scope(noun string) scope {
	return scope{c, noun, map[study.ID]bool{}, map[any]bool{}}
}

// add checks one record.
func (s scope) add(place string, id study.ID, key any, problems study.Problems, texts ...string) {
	s.record(place, problems, texts...)
	switch {
	case id == uuid.Nil:
		s.checker.add(place, "id", "", "it has no id")
	case s.ids[id]:
		s.checker.add(place, "id", id.String(), "another "+s.noun+" has this id")
	}
	if s.keys[key] {
		s.checker.add(place, "", "", "there is another such "+s.noun)
	}
	s.ids[id], s.keys[key] = true, true
}

// record takes over a record's own problems and checks its texts.
func (c *checker) record(place string, problems study.Problems, texts ...string) {
	for _, p := range problems {
		p.File = place
		c.problems = append(c.problems, p)
	}
	for _, text := range texts {
		if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
			c.add(place, "", text, "expected text in UTF-8 without zero bytes")
		}
	}
}

func (c *checker) day(place, column string, day study.Day) {
	if day < firstDay || day > lastDay {
		c.add(place, column, day.String(), wantDay)
	}
}

func (c *checker) add(place, column, got, want string) {
	c.problems = append(c.problems, study.Problem{File: place, Column: column, Got: got, Want: want})
}
