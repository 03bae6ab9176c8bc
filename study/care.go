package study

// Care is anything done to a vehicle or one of its patches between readings.
type Care struct {
	ID         ID
	PatchID    *ID // nil: the whole vehicle
	Day        Day
	Kind       CareKind
	OperatorID *ID
	Note       string
}

// CareKind says what was done.
type CareKind string

// The kinds of care. The first six leave the coating in place; the others
// end what can be learned from it.
const (
	MaintenanceWash CareKind = "maintenance_wash"
	IronRemover     CareKind = "iron_remover" // on its own; a decon wash has it in it
	DeconWash       CareKind = "decon_wash"
	Topper          CareKind = "topper" // repels by itself
	Polish          CareKind = "polish" // a finishing polish that leaves the coating on
	Clay            CareKind = "clay"
	PolishThrough   CareKind = "polish_through" // takes the coating off
	FilmReplaced    CareKind = "film_replaced"
	Repaint         CareKind = "repaint"
	Recoat          CareKind = "recoat" // a new coating on top is a new patch
	Sold            CareKind = "sold"
	Lost            CareKind = "lost" // lost sight of
)

// CareKinds lists the kinds of care.
func CareKinds() []CareKind {
	return []CareKind{MaintenanceWash, IronRemover, DeconWash, Topper, Polish, Clay,
		PolishThrough, FilmReplaced, Repaint, Recoat, Sold, Lost}
}

// Ends reports whether the care ends the following of a patch: the coating is
// gone, covered, or out of sight.
func (k CareKind) Ends() bool {
	switch k {
	case PolishThrough, FilmReplaced, Repaint, Recoat, Sold, Lost:
		return true
	}
	return false
}

// Validate says what is wrong with c.
func (c Care) Validate() Problems {
	var ps Problems
	oneOf(&ps, "kind", c.Kind, CareKinds())
	return ps
}
