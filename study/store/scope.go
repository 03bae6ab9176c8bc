package store

import (
	"strconv"

	"beadspan/study"
)

// Scope is the part of a study that somebody may see.
type Scope struct {
	StudyID study.ID
	// EveryShop: all vehicles; else those of the shops in ShopIDs, and none
	// that belongs to no shop.
	EveryShop bool
	ShopIDs   []study.ID
}

// ScopeOf is what a membership lets an account see.
func ScopeOf(m study.Membership) Scope {
	return Scope{StudyID: m.StudyID, EveryShop: m.EveryShop, ShopIDs: m.ShopIDs}
}

// Covers reports whether a vehicle of that shop is in the scope.
func (s Scope) Covers(shop *study.ID) bool {
	if s.EveryShop {
		return true
	}
	for _, id := range s.ShopIDs {
		if shop != nil && *shop == id {
			return true
		}
	}
	return false
}

// where is the condition on v, a row of vehicle_code, and t, its row of
// vehicle, with parameters numbered from first on.
func (s Scope) where(first int) (condition string, args []any) {
	condition = `v.study_id = $` + strconv.Itoa(first)
	args = []any{s.StudyID}
	if s.EveryShop {
		return condition, args
	}
	ids := make([]string, len(s.ShopIDs))
	for i, id := range s.ShopIDs {
		ids[i] = id.String()
	}
	return condition + ` AND t.shop_id = ANY ($` + strconv.Itoa(first+1) + `::text[]::uuid[])`, append(args, ids)
}

// vehicle joins t, the row of vehicle of v, where the condition asks for it.
func (s Scope) vehicle() string {
	if s.EveryShop {
		return ``
	}
	return `
			JOIN vehicle t USING (vehicle_id)`
}
