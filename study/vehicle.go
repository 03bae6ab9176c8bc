package study

import "slices"

// Vehicle is the cluster: all its patches share a driver, a garage and a
// climate. It is known by a shop's code, never by a plate or an owner.
type Vehicle struct {
	ID     ID
	Code   string
	SiteID ID
	// ShopID is the shop that looks after the vehicle; nil where nobody said,
	// as in a study of one shop.
	ShopID *ID
	// Enrolled is the day from which the vehicle is followed. A patch already
	// in service by then enters its study late.
	Enrolled  Day
	Garage    Garage
	KmPerYear *float64
	Note      string

	Patches  []Patch
	Checkups []Checkup
	Care     []Care
}

// Garage says how a vehicle is kept when it is not driven.
type Garage string

// The ways of keeping a vehicle, most sheltered first.
const (
	GarageUnknown Garage = ""
	Indoors       Garage = "indoors"
	Carport       Garage = "carport"
	Outdoors      Garage = "outdoors"
)

// Garages lists the ways of keeping a vehicle.
func Garages() []Garage { return []Garage{Indoors, Carport, Outdoors} }

// Validate says what is wrong with the vehicle itself, not with its patches,
// checkups and care.
func (v Vehicle) Validate() Problems {
	var ps Problems
	ps.code("code", v.Code)
	if v.Garage != GarageUnknown {
		oneOf(&ps, "garage", v.Garage, Garages())
	}
	ps.within("km_per_year", v.KmPerYear, 0, 500_000, "kilometres")
	return ps
}

// CareOf returns the care that touched the patch, in order of date.
func (v Vehicle) CareOf(patch ID) []Care {
	var care []Care
	for _, c := range v.Care {
		if c.PatchID == nil || *c.PatchID == patch {
			care = append(care, c)
		}
	}
	slices.SortStableFunc(care, func(a, b Care) int { return int(a.Day - b.Day) })
	return care
}
