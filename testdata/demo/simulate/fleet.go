package simulate

import "beadspan/study"

// Fleet simulates the whole study, awkward records included.
func Fleet(seed uint64) study.Fleet {
	return New(seed).Fleet
}

// Demo is the simulated study with what is known about it.
type Demo struct {
	Fleet study.Fleet
	// Awkward lists the records that were made, or left, to test the rules.
	Awkward []Awkward
	// Latent is the truth behind the readings of each patch.
	Latent map[study.ID]Latent
}

// New simulates the whole study.
func New(seed uint64) Demo {
	var fleet study.Fleet
	n := names{coatings: map[string]study.ID{}, people: map[string]study.ID{}}
	for _, p := range products() {
		coating := p.coating()
		n.coatings[p.code] = coating.ID
		fleet.Coatings = append(fleet.Coatings, coating)
	}
	var histories []*history
	for _, s := range shops() {
		s.site.ID = study.NewID()
		fleet.Sites = append(fleet.Sites, s.site)
		for _, o := range s.operators {
			person := study.Person{ID: study.NewID(), Code: o.code}
			n.people[o.code] = person.ID
			fleet.People = append(fleet.People, person)
		}
		for number := 1; number <= s.vehicles; number++ {
			h := vehicleHistory(newChance(seed, uint64(len(histories))), s, number, n)
			histories = append(histories, &h)
		}
	}
	demo := Demo{Awkward: makeAwkward(histories), Latent: latents(histories)}
	for _, h := range histories {
		fleet.Vehicles = append(fleet.Vehicles, h.vehicle)
	}
	demo.Fleet = fleet
	return demo
}

func (p product) coating() study.Coating {
	c := study.Coating{ID: study.NewID(), Code: p.code, Name: p.name, Control: p.control}
	if p.claimHigh > 0 {
		c.ClaimLowMonths, c.ClaimHighMonths = new(p.claimLow), new(p.claimHigh)
	}
	return c
}
