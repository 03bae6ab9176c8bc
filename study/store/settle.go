package store

import (
	"slices"

	"beadspan/study"
)

// settle returns a copy of f in which each record has the id that it is, or is
// to be, stored under. A record that people would call the same as a stored one
// is that one; a new record keeps its id, unless a stored record has it.
// An id that names nothing in f stays: it may name a stored record.
func (k known) settle(f study.Fleet) study.Fleet {
	s := settler{known: k, ids: map[study.ID]study.ID{}}
	f.Coatings = slices.Clone(f.Coatings)
	for i := range f.Coatings {
		c := &f.Coatings[i]
		c.ID = s.shared(c.ID, k.coatings, c.Code)
	}
	f.Sites = slices.Clone(f.Sites)
	for i := range f.Sites {
		x := &f.Sites[i]
		x.ID = s.shared(x.ID, k.sites, x.Code)
	}
	f.Shops = slices.Clone(f.Shops)
	for i := range f.Shops {
		x := &f.Shops[i]
		x.ID = s.shared(x.ID, k.shops, x.Code)
	}
	f.People = slices.Clone(f.People)
	for i := range f.People {
		p := &f.People[i]
		p.ID = s.shared(p.ID, k.people, p.Code)
	}
	f.Vehicles = slices.Clone(f.Vehicles)
	for i := range f.Vehicles {
		s.vehicle(&f.Vehicles[i])
	}
	return f
}

// settler follows ids from what was handed in to what is stored.
type settler struct {
	known
	ids map[study.ID]study.ID // of coatings, sites, shops and people
}

// shared settles the id of a coating, site, shop or person.
func (s settler) shared(own study.ID, stored map[string]study.ID, code string) study.ID {
	id := settled(own, stored, code, s.taken)
	s.ids[own] = id
	return id
}

func (s settler) vehicle(v *study.Vehicle) {
	v.ID = settled(v.ID, s.vehicles, v.Code, s.taken)
	v.SiteID = follow(s.ids, v.SiteID)
	v.ShopID = followOptional(s.ids, v.ShopID)

	patches := make(map[study.ID]study.ID, len(v.Patches))
	v.Patches = slices.Clone(v.Patches)
	for i := range v.Patches {
		p := &v.Patches[i]
		own := p.ID
		p.ID = settled(own, s.patches, patchKey{v.ID, p.Code}, s.taken)
		p.CoatingID = follow(s.ids, p.CoatingID)
		patches[own] = p.ID
	}
	v.Checkups = slices.Clone(v.Checkups)
	for i := range v.Checkups {
		c := &v.Checkups[i]
		c.OperatorID = followOptional(s.ids, c.OperatorID)
		c.ID = settled(c.ID, s.checkups, checkupKey{v.ID, c.Day, orZero(c.OperatorID)}, s.taken)
		c.Readings = slices.Clone(c.Readings)
		for j := range c.Readings {
			c.Readings[j].PatchID = follow(patches, c.Readings[j].PatchID)
		}
	}
	v.Care = slices.Clone(v.Care)
	for i := range v.Care {
		c := &v.Care[i]
		c.OperatorID = followOptional(s.ids, c.OperatorID)
		c.PatchID = followOptional(patches, c.PatchID)
		c.ID = settled(c.ID, s.care, careKey{v.ID, c.Day, c.Kind, orZero(c.PatchID)}, s.taken)
	}
}

// settled is the id of the record stored under the key, else the record's own
// id, else a fresh one because a stored record has that.
func settled[K comparable](own study.ID, stored map[K]study.ID, key K, taken map[study.ID]bool) study.ID {
	if id, is := stored[key]; is {
		return id
	}
	if taken[own] {
		return study.NewID()
	}
	return own
}

func follow(ids map[study.ID]study.ID, id study.ID) study.ID {
	if to, moved := ids[id]; moved {
		return to
	}
	return id
}

func followOptional(ids map[study.ID]study.ID, id *study.ID) *study.ID {
	if id == nil {
		return nil
	}
	to := follow(ids, *id)
	return &to
}
