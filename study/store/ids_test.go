package store_test

import (
	"slices"

	"beadspan/study"
)

// rewritten copies a fleet and lets change rewrite every id in it, wherever it
// stands.
func rewritten(f study.Fleet, change func(*study.ID)) study.Fleet {
	f.Coatings = slices.Clone(f.Coatings)
	for i := range f.Coatings {
		change(&f.Coatings[i].ID)
	}
	f.Sites = slices.Clone(f.Sites)
	for i := range f.Sites {
		change(&f.Sites[i].ID)
	}
	f.Shops = slices.Clone(f.Shops)
	for i := range f.Shops {
		change(&f.Shops[i].ID)
	}
	f.People = slices.Clone(f.People)
	for i := range f.People {
		change(&f.People[i].ID)
	}
	f.Vehicles = slices.Clone(f.Vehicles)
	for i := range f.Vehicles {
		v := &f.Vehicles[i]
		change(&v.ID)
		change(&v.SiteID)
		v.ShopID = changed(v.ShopID, change)
		v.Patches = slices.Clone(v.Patches)
		for j := range v.Patches {
			change(&v.Patches[j].ID)
			change(&v.Patches[j].CoatingID)
		}
		v.Checkups = slices.Clone(v.Checkups)
		for j := range v.Checkups {
			c := &v.Checkups[j]
			change(&c.ID)
			c.OperatorID = changed(c.OperatorID, change)
			c.Readings = slices.Clone(c.Readings)
			for k := range c.Readings {
				change(&c.Readings[k].PatchID)
			}
		}
		v.Care = slices.Clone(v.Care)
		for j := range v.Care {
			c := &v.Care[j]
			change(&c.ID)
			c.PatchID = changed(c.PatchID, change)
			c.OperatorID = changed(c.OperatorID, change)
		}
	}
	return f
}

func changed(id *study.ID, change func(*study.ID)) *study.ID {
	if id == nil {
		return nil
	}
	to := *id
	change(&to)
	return &to
}
