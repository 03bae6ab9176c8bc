package web

import (
	"context"

	"beadspan/reports"
	"beadspan/study"
)

// overview is how a study's patches stand today, and what is due.
type overview struct {
	shops []shopOverview
	lines []dueLine
}

// shopOverview is what one shop has; those without a shop are together too.
type shopOverview struct {
	shop     *study.ID
	vehicles int
	patches  map[study.Standing]int
}

// dueLine is one thing that a vehicle is due for, the most pressing first.
type dueLine struct {
	shop *study.ID
	Code string // of the vehicle
	Site string // code
	Due  []study.Due
}

// overviewFigure works the overview out.
var overviewFigure = figure[overview]{"overview", func(ctx context.Context, in figureInput) (overview, error) {
	o := overview{shops: shopOverviews(in)}
	salt, _, err := reports.SaltSeasons(*in.fleet)
	if err != nil {
		return o, err
	}
	for _, d := range in.fleet.DueIn(in.study, salt, study.Horizon{On: in.today}) {
		o.lines = append(o.lines, dueLine{d.Vehicle.ShopID, d.Vehicle.Code, d.Site.Code, d.Due})
	}
	return o, ctx.Err()
}}

// shopOverviews counts vehicles and patches by shop.
func shopOverviews(in figureInput) []shopOverview {
	byShop := map[study.ID]*shopOverview{}
	at := func(v *study.Vehicle) *shopOverview {
		var id study.ID // zero: no shop
		if v.ShopID != nil {
			id = *v.ShopID
		}
		if byShop[id] == nil {
			byShop[id] = &shopOverview{shop: v.ShopID, patches: map[study.Standing]int{}}
		}
		return byShop[id]
	}
	for i := range in.fleet.Vehicles {
		at(&in.fleet.Vehicles[i]).vehicles++
	}
	for _, f := range in.fleet.Follow(in.study.Protocol) {
		if !f.Coating.Control {
			at(f.Vehicle).patches[f.Span.Standing]++
		}
	}
	var shops []shopOverview
	for _, s := range byShop {
		shops = append(shops, *s)
	}
	return shops
}

// vehicles counts those that the viewer may see.
func (o overview) vehicles(x *records) int {
	n := 0
	for _, s := range o.shops {
		if x.scope.Covers(s.shop) {
			n += s.vehicles
		}
	}
	return n
}

// standings counts the patches that the viewer may see.
func (o overview) standings(x *records) []standingCount {
	counts := make([]standingCount, len(study.Standings()))
	for i, standing := range study.Standings() {
		counts[i].Standing = standing
		for _, s := range o.shops {
			if x.scope.Covers(s.shop) {
				counts[i].Patches += s.patches[standing]
			}
		}
	}
	return counts
}

// due lists what is due of the vehicles that the viewer may see.
func (o overview) due(x *records) []dueLine {
	if x.scope.EveryShop {
		return o.lines
	}
	var lines []dueLine
	for _, l := range o.lines {
		if x.scope.Covers(l.shop) {
			lines = append(lines, l)
		}
	}
	return lines
}
