package web

import (
	"context"

	"beadspan/reports"
	"beadspan/study"
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
	salt, _, err := reports.SaltSeasons(*in.fleet)
	if err != nil {
		return o, err
	}
	for _, d := range in.fleet.DueIn(in.study, salt, study.Horizon{On: in.today}) {
		o.lines = append(o.lines, dueLine{d.Vehicle, d.Vehicle.Code, d.Site.Code, d.Due})
	}
	return o, ctx.Err()
}}

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
