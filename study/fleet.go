package study

// Fleet is everything known of a study's vehicles, and of the coatings, sites,
// shops and people that they name.
type Fleet struct {
	Coatings []Coating
	Sites    []Site
	Shops    []Shop
	People   []Person
	Vehicles []Vehicle
}

// Size counts what a fleet holds.
type Size struct {
	Coatings int `json:"coatings"`
	Sites    int `json:"sites"`
	Shops    int `json:"shops"`
	People   int `json:"people"`
	Vehicles int `json:"vehicles"`
	Patches  int `json:"patches"`
	Checkups int `json:"checkups"`
	Readings int `json:"readings"`
	Care     int `json:"care"`
}

// Size counts what f holds.
func (f Fleet) Size() Size {
	n := Size{Coatings: len(f.Coatings), Sites: len(f.Sites), Shops: len(f.Shops), People: len(f.People), Vehicles: len(f.Vehicles)}
	for _, v := range f.Vehicles {
		n.Patches += len(v.Patches)
		n.Checkups += len(v.Checkups)
		n.Care += len(v.Care)
		for _, c := range v.Checkups {
			n.Readings += len(c.Readings)
		}
	}
	return n
}

// Followed is one patch of a fleet with its span and what it is compared by.
type Followed struct {
	Vehicle *Vehicle
	Patch   *Patch
	Coating Coating
	Site    Site
	Span    Span
}

// Follow derives the span of every patch under p, in the order of the fleet.
// A patch whose coating or vehicle whose site the fleet doesn't hold has a
// zero Coating or Site.
func (f *Fleet) Follow(p Protocol) []Followed {
	coatings := byID(f.Coatings, func(c Coating) ID { return c.ID })
	sites := byID(f.Sites, func(s Site) ID { return s.ID })
	var all []Followed
	for i := range f.Vehicles {
		v := &f.Vehicles[i]
		for j := range v.Patches {
			patch := &v.Patches[j]
			all = append(all, Followed{
				Vehicle: v,
				Patch:   patch,
				Coating: coatings[patch.CoatingID],
				Site:    sites[v.SiteID],
				Span:    p.Derive(*v, *patch),
			})
		}
	}
	return all
}

func byID[T any](list []T, id func(T) ID) map[ID]T {
	m := make(map[ID]T, len(list))
	for _, x := range list {
		m[id(x)] = x
	}
	return m
}
