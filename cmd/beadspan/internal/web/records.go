package web

import (
	"context"

	"beadspan/study"
	"beadspan/study/store"
)

// records are what one viewer may see and do in one study. It is the only way
// from a page to the store's records, so that no page can forget to ask.
type records struct {
	store    *store.Store
	figures  *figures
	study    study.Study
	revision int64
	role     study.Role
	scope    store.Scope
}

// vehicles lists a page of the vehicles that the viewer may see.
func (x *records) vehicles(ctx context.Context, q store.VehicleQuery) ([]store.VehicleLine, bool, error) {
	return x.store.Vehicles(ctx, x.scope, q)
}

// countVehicles counts the vehicles that the viewer may see.
func (x *records) countVehicles(ctx context.Context) (int, error) {
	return x.store.CountVehicles(ctx, x.scope)
}

// vehicle reads all that is known of one vehicle. Another shop's is
// study.ErrNotFound, like one that isn't there.
func (x *records) vehicle(ctx context.Context, code string) (study.Fleet, error) {
	return x.store.VehicleByCode(ctx, x.scope, code)
}

// shops lists the shops of the study. Whoever sees some sees the codes of all.
func (x *records) shops(ctx context.Context) ([]study.Shop, error) {
	return x.store.Shops(ctx, x.study.ID)
}

// members lists who may see the study.
func (x *records) members(ctx context.Context) ([]store.Member, error) {
	if !x.role.MayOwn() {
		return nil, errRole
	}
	return x.store.Members(ctx, x.study.ID)
}

// covers reports whether the viewer may see a vehicle of that shop, for what
// was worked out from the whole study.
func (x *records) covers(v *study.Vehicle) bool { return x.scope.Covers(v.ShopID) }
