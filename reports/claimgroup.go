package reports

import (
	"context"
	"math"
	"slices"

	"beadspan/study"
)

// claimGroup is patches of one coating, as a claim is held against them.
type claimGroup struct {
	sample
	members []member
	row     LifeRow
	options LifeOptions
}

// claimSamples are the groups by which claims are judged, by code of coating.
type claimSamples struct {
	overall   map[string]claimGroup
	byClimate map[string][]claimGroup
}

// claimGroups works out the lives of the coatings of which something is claimed.
func claimGroups(ctx context.Context, claimed []study.Coating, followed []study.Followed, o ClaimOptions) (claimSamples, error) {
	followed = slices.DeleteFunc(slices.Clone(followed), func(f study.Followed) bool {
		return !slices.ContainsFunc(claimed, func(c study.Coating) bool { return c.Code == f.Coating.Code })
	})
	samples := claimSamples{map[string]claimGroup{}, map[string][]claimGroup{}}
	overall, err := planLife(followed, o.life(ByCoating))
	if err != nil {
		return samples, err
	}
	byClimate, err := planLife(followed, o.life(ByCoating, ByClimate))
	if err != nil {
		return samples, err
	}
	work := newTally(o.Progress, overall, byClimate)
	for _, made := range []struct {
		plan lifePlan
		life *Life
		keep func(claimGroup)
	}{
		{overall, o.Life, func(g claimGroup) { samples.overall[g.row.Coating] = g }},
		{byClimate, o.ByClimate, func(g claimGroup) {
			samples.byClimate[g.row.Coating] = append(samples.byClimate[g.row.Coating], g)
		}},
	} {
		rows, err := made.plan.rowsFrom(ctx, made.life, work)
		if err != nil {
			return samples, err
		}
		for _, row := range rows {
			members := made.plan.members[row.Group]
			made.keep(claimGroup{newSample(members), members, row, made.plan.options})
		}
	}
	return samples, nil
}

// rowsFrom takes over the rows of a table that is as planned, and works out
// those that it lacks.
func (p lifePlan) rowsFrom(ctx context.Context, made *Life, work *tally) ([]LifeRow, error) {
	o := p.options
	if made == nil || made.Level != o.Level || made.Replicates != o.BootstrapReplicates || made.Seed != o.Seed {
		return p.rows(ctx, work)
	}
	var rows []LifeRow
	for _, g := range p.groups {
		if row, found := made.Row(g); found {
			rows = append(rows, row)
		}
	}
	work.reach(work.done + len(p.groups)*o.BootstrapReplicates)
	return rows, nil
}

// vehiclesSpentBy counts the vehicles with a patch that was seen spent by day t.
func (g claimGroup) vehiclesSpentBy(t float64) int {
	return vehiclesOf(g.members, func(m member) bool { return m.Span.Spent() && m.Span.UpperDays <= t })
}

// vehiclesHoldingAt counts those with a patch that was seen holding on day t or
// later.
func (g claimGroup) vehiclesHoldingAt(t float64) int {
	return vehiclesOf(g.members, func(m member) bool { return m.Span.Known && m.Span.EntryDays < t && m.Span.LowerDays >= t })
}

// countHolding counts the vehicles of which it is known whether all their patches
// held until day t, and those that did.
func (g claimGroup) countHolding(t float64) (held, counted int) {
	holding, spent := map[int]bool{}, map[int]bool{}
	for _, span := range g.spans {
		switch {
		case !math.IsInf(span.Upper, 1) && span.Lower < t:
			spent[span.Cluster] = true
		case span.Entry == 0 && span.Lower >= t:
			holding[span.Cluster] = true
		}
	}
	for vehicle := range holding {
		if !spent[vehicle] {
			held++
		}
	}
	return held, held + len(spent)
}

// worth is how many vehicles, all followed until then, would tell as much of the
// share at a time as the group does: the patches that were still followed over
// the share that held, in vehicles. Where nobody was, the last time at which
// somebody was counts.
//
// Source: the effective sample size of Dorey and Korn, Stat. Med. 6 (1987)
// 679–687, by Peto's variance (from memory).
func (g claimGroup) worth(months float64) float64 {
	all := float64(g.vehicles)
	points := g.row.Curve.Points
	for i := min(int(2*months), len(points)-1); i >= 0; i-- {
		p := points[i]
		if n := g.atRisk(p.Months * study.DaysPerMonth); n > 0 && p.Share > noMass {
			return math.Min(all, float64(n)/p.Share*all/float64(len(g.spans)))
		}
	}
	return all
}

// waiting counts the vehicles that still hold, are followed, and haven't come to
// a time yet, and adds up how many months they lack.
func (g claimGroup) waiting(months float64) (vehicles int, lacking float64) {
	seen := map[int]float64{}
	for _, m := range g.members {
		if m.Span.Known && !m.Span.Spent() && m.Span.Ended == "" {
			seen[m.vehicle] = math.Max(seen[m.vehicle], m.Span.LowerDays)
		}
	}
	reached := 0.0 // whole days, whose sum doesn't depend on their order
	for _, days := range seen {
		if days < months*study.DaysPerMonth {
			vehicles++
			reached += days
		}
	}
	return vehicles, float64(vehicles)*months - reached/study.DaysPerMonth
}
