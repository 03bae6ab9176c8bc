package simulate

import "beadspan/study"

// Awkward is a record that tests one rule: made so on purpose, or found among
// the others by the truth behind it, never by what the rules say of it.
type Awkward struct {
	Case           Case
	Vehicle, Patch string    // codes
	Day            study.Day // the day it is about
}

// Case says what is awkward about a record.
type Case string

// The cases.
const (
	SaltCrust       Case = "fails as driven in and washed, passes after decon: masked, holding"
	HurriedOwner    Case = "last reading failed, no decon followed: doubtful, proves nothing"
	HotPanel        Case = "a decon reading failed on a hot panel, later ones passed: cancelled, for review"
	LastFail        Case = "the last reading is the first to fail after decon: pending, not yet an event"
	TwoOperators    Case = "two operators failed it on one day: one visit, which confirms nothing"
	GlossyShampoo   Case = "a spent patch passed before decon and failed after: contrary, for review"
	UnloggedTopper  Case = "a spent patch passed again: stays spent, for review"
	ToppedAtOnce    Case = "topped on the day of coating: the bare coating was never seen"
	ToppedLater     Case = "topped later on: leaves at its last proof of holding before the topper"
	NeverRead       Case = "coated but never read: unread"
	ReadByEye       Case = "only bead grades, never an angle: unread under a protocol of angles"
	FilmedFirst     Case = "film replaced on the morning of the coating: ends nothing"
	SeenWhenSold    Case = "read again after the vehicle was sold: not used"
	OnePanelLost    Case = "one panel lost its coating, its neighbours go on"
	SpentWhenSeen   Case = "spent when first read, months after coating: left-censored"
	SpentWhenJoined Case = "enrolled late and never seen holding: not used"
)

// awkwardCase makes one case of a patch that lends itself to it.
type awkwardCase struct {
	is   Case
	make func(h *history, p study.Patch) (day study.Day, made bool)
}

func awkwardCases() []awkwardCase {
	return []awkwardCase{
		{SpentWhenSeen, spentWhenSeen},
		{SpentWhenJoined, spentWhenJoined},
		{SeenWhenSold, seenWhenSold},
		{OnePanelLost, onePanelLost},
		{ToppedLater, toppedLater},
		{GlossyShampoo, glossyShampoo},
		{UnloggedTopper, unloggedTopper},
		{SaltCrust, saltCrust},
		{HurriedOwner, hurriedOwner},
		{HotPanel, hotPanel},
		{LastFail, lastFail},
		{TwoOperators, twoOperators},
		{ToppedAtOnce, toppedAtOnce},
		{NeverRead, neverRead},
		{ReadByEye, readByEye},
		{FilmedFirst, filmedFirst},
	}
}

// makeAwkward makes each case once, on a vehicle of its own. The rarest come
// first, while all vehicles are free; each begins its search at another
// vehicle, so that every shop gets some.
func makeAwkward(fleet []*history) []Awkward {
	var all []Awkward
	taken := map[*history]bool{}
	for i, c := range awkwardCases() {
		for j := range fleet {
			h := fleet[(i*37+j)%len(fleet)]
			if taken[h] {
				continue
			}
			if a, made := h.awkward(c); made {
				all = append(all, a)
				taken[h] = true
				break
			}
		}
	}
	return all
}

func (h *history) awkward(c awkwardCase) (a Awkward, made bool) {
	for _, p := range h.vehicle.Patches {
		if !h.coated(p) {
			continue
		}
		if day, made := c.make(h, p); made {
			return Awkward{c.is, h.vehicle.Code, p.Code, day}, true
		}
	}
	return Awkward{}, false
}
