package web

import (
	"context"

	"beadspan/study"
	"beadspan/study/climate"
)

// overview is how a study's patches stand today, and what is due.
type overview struct {
	patches []standingLine
	lines   []dueLine
}

// standingLine is how many patches of one shop stand in one way.
type standingLine struct {
	vehicle  *study.Vehicle
	standing study.Standing
}

// dueLine is one thing that a vehicle is due for, the most pressing first.
type dueLine struct {
	vehicle *study.Vehicle
	Code    string // of the vehicle
	Site    string // code
	Due     []study.Due
}

// overviewFigure works the overview out.
var overviewFigure = figure[overview]{"overview", func(ctx context.Context, in figureInput) (overview, error) {
	var o overview
	for _, f := range in.fleet.Follow(in.study.Protocol) {
		if !f.Coating.Control {
			o.patches = append(o.patches, standingLine{f.Vehicle, f.Span.Standing})
		}
	}
	seasons := map[study.ID]study.SaltSeason{}
	for _, site := range in.fleet.Sites {
		seasons[site.ID] = saltSeason(site)
	}
	salt := func(site study.Site) study.SaltSeason { return seasons[site.ID] }
	for _, d := range in.fleet.DueIn(in.study, salt, study.Horizon{On: in.today}) {
		o.lines = append(o.lines, dueLine{d.Vehicle, d.Vehicle.Code, d.Site.Code, d.Due})
	}
	return o, ctx.Err()
}}

// saltSeason is the months in which roads are salted where the site is; none
// where nobody knows how cold it gets.
func saltSeason(site study.Site) (season study.SaltSeason) {
	c, err := climate.Of(climate.PlaceOf(site), climate.DefaultAssumptions())
	if err != nil {
		return season
	}
	for i, m := range c.Months {
		season[i] = m.Salt != nil && *m.Salt
	}
	return season
}

// standings counts the patches that the viewer may see.
func (o overview) standings(x *records) []standingCount {
	n := map[study.Standing]int{}
	for _, p := range o.patches {
		if x.covers(p.vehicle) {
			n[p.standing]++
		}
	}
	counts := make([]standingCount, len(study.Standings()))
	for i, standing := range study.Standings() {
		counts[i] = standingCount{standing, n[standing]}
	}
	return counts
}

// due lists what is due of the vehicles that the viewer may see.
func (o overview) due(x *records) []dueLine {
	var lines []dueLine
	for _, l := range o.lines {
		if x.covers(l.vehicle) {
			lines = append(lines, l)
		}
	}
	return lines
}
