package ingest

import "beadspan/study"

func vehicleTable() table[vehicleRow] {
	return table[vehicleRow]{
		name: "vehicles",
		note: func(v *vehicleRow) *string { return &v.Note },
		fields: []field[vehicleRow]{
			textField(Column{Name: "code", Required: true, Example: "V-017", Meaning: "the shop's own code of the vehicle; no plate and no name"},
				func(v *vehicleRow) *string { return &v.Code }),
			textField(Column{Name: "site", Required: true, Example: "HARBOUR", Meaning: "code of the site where it lives"},
				func(v *vehicleRow) *string { return &v.site }),
			textField(Column{Name: "shop", Example: "NORTH", Meaning: "code of the shop that looks after it; blank where there is one shop only"},
				func(v *vehicleRow) *string { return &v.shop }),
			dateField(Column{Name: "enrolled", Example: "2025-03-04", Meaning: "the day from which it is followed"},
				func(v *vehicleRow) *study.Day { return &v.Enrolled }),
			wordField(Column{Name: "garage", Example: "carport", Meaning: "how it is kept when it is not driven; blank if nobody knows"},
				study.Garages(), func(v *vehicleRow) *study.Garage { return &v.Garage }),
			thousandsField(Column{Name: "km_per_year", Unit: "km", Example: "15000", Meaning: "distance driven in a year"},
				func(v *vehicleRow) **float64 { return &v.KmPerYear }),
			textField(Column{Name: "note", Example: "delivery van", Meaning: "anything else"},
				func(v *vehicleRow) *string { return &v.Note }),
		},
	}
}

// vehicleRow is a vehicle as a row, which names its site and shop by code.
type vehicleRow struct {
	study.Vehicle
	site, shop string
}

// knownVehicle is what the tables under a vehicle need to know of it.
type knownVehicle struct {
	index    int // in the fleet
	enrolled study.Day
	patches  *register[knownPatch]
	// checkups finds a checkup of this vehicle by day and operator.
	checkups map[checkupKey]int
	care     map[careKey]int // the row in which each was logged
}

func (r *reader) vehicle(l *line, v *vehicleRow) {
	v.ID = study.NewID()
	r.siteKnownBefore(l)
	v.SiteID, _ = r.sites.find(l, "site")
	v.ShopID = r.shop(l, v.shop)
	l.check(v.Validate())
	known := &knownVehicle{
		index:    len(r.fleet.Vehicles),
		enrolled: v.Enrolled,
		patches:  newRegister[knownPatch]("patch", "patches of vehicle "+v.Code),
		checkups: map[checkupKey]int{},
		care:     map[careKey]int{},
	}
	if r.vehicles.define(l, known) {
		r.fleet.Vehicles = append(r.fleet.Vehicles, v.Vehicle)
	}
}
