package reports

import (
	"cmp"
	"slices"

	"beadspan/study"
)

// Flow counts a study's vehicles and patches on their way from enrolment to the
// figures. At each step the counts add up: nothing drops out unsaid.
type Flow struct {
	Vehicles VehicleFlow `json:"vehicles"`
	Controls int         `json:"uncoated_patches"` // which have no life to lose
	// Patches are the coated ones, of all coatings together, and Coatings those of
	// each.
	Patches  PatchFlow   `json:"patches"`
	Coatings []PatchFlow `json:"coatings"`
}

// VehicleFlow counts vehicles.
type VehicleFlow struct {
	Enrolled int `json:"enrolled"`
	// What became of all that were enrolled.
	Uncoated     int `json:"uncoated"`      // no coated patch
	NeverRead    int `json:"never_read"`    // coated, and no such patch was ever read
	NothingKnown int `json:"nothing_known"` // read, but no patch's life counts
	Counted      int `json:"counted"`       // at least one patch's life counts
	// What became of those that count.
	WithSpent int `json:"with_spent"`          // at least one patch is spent
	Followed  int `json:"none_spent_followed"` // none spent, and at least one is still followed
	Ended     int `json:"none_spent_ended"`    // none spent, and all have left
}

// PatchFlow counts coated patches.
type PatchFlow struct {
	Coating string `json:"coating"` // empty for all together
	Coated  int    `json:"coated"`
	// On how many days they were read before they left.
	NeverRead int `json:"read_never"`
	ReadOnce  int `json:"read_on_one_day"`
	ReadMore  int `json:"read_on_more_days"`
	// What became of all that were coated: they count, or why not.
	Unread       int `json:"unread"`                   // never read at all
	ReadTooLate  int `json:"read_only_after_leaving"`  // read only after they had left
	Inconclusive int `json:"never_conclusively_read"`  // read, but never conclusively
	NeverHeld    int `json:"enrolled_late_never_held"` // enrolled after service began, and never seen holding
	Counted      int `json:"counted"`
	// What became of those that count.
	Spent    int `json:"spent"`
	Topped   int `json:"left_at_topper"`    // left at a topper
	Ended    int `json:"left_by_care"`      // left as the coating was covered or removed, or the vehicle was gone
	Doubtful int `json:"followed_doubtful"` // still followed, and failed last without proof
	Holding  int `json:"followed_holding"`  // still followed, and held when last read
}

// LeftOut counts the patches of whose life nothing is known.
func (f PatchFlow) LeftOut() int { return f.Unread + f.ReadTooLate + f.Inconclusive + f.NeverHeld }

// Followed counts the patches that are still followed.
func (f PatchFlow) Followed() int { return f.Doubtful + f.Holding }

// newFlow counts the patches of all vehicles, the empty ones too.
func newFlow(fleet *study.Fleet, followed []study.Followed) *Flow {
	flow := &Flow{}
	byCoating := map[string]*PatchFlow{}
	byVehicle := map[*study.Vehicle]*PatchFlow{}
	for _, f := range followed {
		if f.Coating.Control {
			flow.Controls++
			continue
		}
		code := OrUnknown(f.Coating.Code)
		for _, of := range []*PatchFlow{counterOf(byCoating, code), counterOf(byVehicle, f.Vehicle), &flow.Patches} {
			of.add(f.Span)
		}
	}
	for code, of := range byCoating {
		of.Coating = code
		flow.Coatings = append(flow.Coatings, *of)
	}
	slices.SortFunc(flow.Coatings, func(a, b PatchFlow) int { return cmp.Compare(a.Coating, b.Coating) })
	for i := range fleet.Vehicles {
		flow.Vehicles.add(counterOf(byVehicle, &fleet.Vehicles[i]))
	}
	return flow
}

// counterOf finds what stands under a key, or puts a zero there.
func counterOf[K comparable, V any](all map[K]*V, key K) *V {
	if all[key] == nil {
		all[key] = new(V)
	}
	return all[key]
}

// add counts one patch.
func (f *PatchFlow) add(s study.Span) {
	f.Coated++
	switch s.Decided.Visits {
	case 0:
		f.NeverRead++
	case 1:
		f.ReadOnce++
	default:
		f.ReadMore++
	}
	if !s.Known {
		f.leaveOut(s.Decided)
		return
	}
	f.Counted++
	switch {
	case s.Spent():
		f.Spent++
	case s.Ended == study.Topper:
		f.Topped++
	case s.Ended != "":
		f.Ended++
	case s.Standing == study.Doubtful:
		f.Doubtful++
	default:
		f.Holding++
	}
}

// leaveOut finds out why nothing is known.
func (f *PatchFlow) leaveOut(d study.Decided) {
	switch {
	case d.Visits == 0 && d.VisitsAfterCut == 0:
		f.Unread++
	case d.Visits == 0:
		f.ReadTooLate++
	case d.NeverHeld > 0:
		f.NeverHeld++
	default:
		f.Inconclusive++
	}
}

// add counts one vehicle by what became of its coated patches.
func (f *VehicleFlow) add(patches *PatchFlow) {
	f.Enrolled++
	switch {
	case patches.Coated == 0:
		f.Uncoated++
	case patches.Unread == patches.Coated:
		f.NeverRead++
	case patches.Counted == 0:
		f.NothingKnown++
	default:
		f.Counted++
		switch {
		case patches.Spent > 0:
			f.WithSpent++
		case patches.Followed() > 0:
			f.Followed++
		default:
			f.Ended++
		}
	}
}
