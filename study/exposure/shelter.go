package exposure

import "beadspan/study"

// Shelter says which share of the ultraviolet of its site a vehicle gets, by
// how it is kept: the share of the daylight that it stands or drives in the
// open. Common practice, no source: a vehicle kept in a garage still spends
// working hours outside, and a carport lets light in from the sides.
//
// Freeze-thaw, salt and heat aren't shared out: frost and warm air get under a
// roof, a garage that is heated makes a thaw of its own on each winter drive,
// and salt is met on the road.
type Shelter struct {
	Indoors  float64 `json:"indoors"`
	Carport  float64 `json:"carport"`
	Outdoors float64 `json:"outdoors"`
	// Unknown is for vehicles of which nobody wrote down how they are kept.
	Unknown float64 `json:"unknown"`
}

// DefaultShelter is used unless something better is known.
func DefaultShelter() Shelter {
	return Shelter{Indoors: 0.5, Carport: 0.7, Outdoors: 1, Unknown: 0.7}
}

// Share is the share of ultraviolet for a way of keeping a vehicle.
func (s Shelter) Share(g study.Garage) float64 {
	switch g {
	case study.Indoors:
		return s.Indoors
	case study.Carport:
		return s.Carport
	case study.Outdoors:
		return s.Outdoors
	}
	return s.Unknown
}
