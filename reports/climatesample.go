package reports

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
	"beadspan/stats/survival/pooled"
	"beadspan/study"
	"beadspan/study/climate"
	"beadspan/study/exposure"
)

// climateSample is the patches that life by climate is told from.
type climateSample struct {
	patches []climatePatch
	// unclassed and unknown patches are left out: their site has no climate
	// class, or nothing is known of their life.
	unclassed, unknown int
	conditions         []conditionColumn
	merged             []string // notes on levels too rare for a column
}

// climatePatch is a patch with its load of an average year.
type climatePatch struct {
	member
	yearly *exposure.Load // nil without sites
}

func newClimateSample(followed []study.Followed, sites exposure.Sites) *climateSample {
	s := &climateSample{}
	groups, members := grouped(followed, []By{ByCoating, ByClimate})
	for _, g := range groups {
		for _, m := range members[g] {
			switch {
			case m.Site.Koppen == "":
				s.unclassed++
			case !m.Span.Known:
				s.unknown++
			default:
				p := climatePatch{member: m}
				if sites != nil {
					p.yearly = new(sites.Of(m.Vehicle.SiteID).Patch(m.Vehicle, m.Patch, exposure.DefaultShelter()).Yearly())
				}
				s.patches = append(s.patches, p)
			}
		}
	}
	s.chooseConditions()
	return s
}

func (p climatePatch) group() Group { return groupOf(p.Followed, []By{ByCoating, ByClimate}) }

// fit estimates; a condition that turns out not to be told apart from the rest
// is left out.
func (s *climateSample) fit(level float64) (*pooled.Result, error) {
	for {
		r, err := pooled.Fit(s.data(), level)
		var vague *aft.NotEstimableError
		if !errors.As(err, &vague) || !s.drop(vague.Parameters) {
			return r, err
		}
	}
}

// drop leaves out the conditions that the names name, and reports whether there
// was one.
func (s *climateSample) drop(names []string) bool {
	before := len(s.conditions)
	s.conditions = slices.DeleteFunc(s.conditions, func(c conditionColumn) bool {
		if !slices.Contains(names, c.name) {
			return false
		}
		s.merged = append(s.merged, fmt.Sprintf("The effect of %s can’t be told apart from the rest.", c.name))
		return true
	})
	return len(s.conditions) < before
}

func (s *climateSample) data() pooled.Data {
	var d pooled.Data
	for _, c := range s.conditions {
		d.Covariates = append(d.Covariates, c.name)
	}
	for _, p := range s.patches {
		l := pooled.Life{
			Span: survival.Span{Entry: p.Span.EntryDays, Lower: p.Span.LowerDays, Upper: p.Span.UpperDays, Cluster: p.vehicle},
			Kind: p.group().Coating, Place: p.group().Climate,
		}
		for _, c := range s.conditions {
			l.Covariates = append(l.Covariates, c.of(p))
		}
		d.Lives = append(d.Lives, l)
	}
	return d
}

// rows are the cells with their counts, by coating and climate as pooled.Fit
// has them.
func (s *climateSample) rows() []ClimateLifeRow {
	var groups []Group
	members := map[Group][]member{}
	for _, p := range s.patches {
		g := p.group()
		if members[g] == nil {
			groups = append(groups, g)
		}
		members[g] = append(members[g], p.member)
	}
	slices.SortFunc(groups, Group.compare)
	var rows []ClimateLifeRow
	for _, g := range groups {
		sample := newSample(members[g])
		_, longest := sample.followUp()
		rows = append(rows, ClimateLifeRow{Group: g, Vehicles: sample.vehicles, Patches: len(sample.spans), Spent: sample.spent,
			VehicleMonths: sample.watchedDays() / study.DaysPerMonth, LongestMonths: longest / study.DaysPerMonth})
	}
	return rows
}

// watchedDays adds up for how long vehicles were watched: each until its patch
// that was followed longest.
func (s sample) watchedDays() float64 {
	longest := map[int]float64{}
	for _, span := range s.spans {
		longest[span.Cluster] = math.Max(longest[span.Cluster], lastSeen(span)-span.Entry)
	}
	sum := 0.0
	for _, days := range longest {
		sum += days
	}
	return sum
}

// climates lists the climates, by class.
func (s *climateSample) climates() []ClimateInStudy {
	byClass := map[string][]climatePatch{}
	for _, p := range s.patches {
		byClass[p.Site.Koppen] = append(byClass[p.Site.Koppen], p)
	}
	var all []ClimateInStudy
	for class, patches := range byClass {
		c := ClimateInStudy{Class: class, Words: climate.Words(class), Loads: map[exposure.Clock]float64{}}
		var members []member
		for _, p := range patches {
			members = append(members, p.member)
		}
		c.Vehicles = vehiclesOf(members, func(member) bool { return true })
		for _, clock := range weatherClocks() {
			if mean, known := meanLoad(patches, clock); known {
				c.Loads[clock] = mean
			}
		}
		all = append(all, c)
	}
	slices.SortFunc(all, func(a, b ClimateInStudy) int { return strings.Compare(a.Class, b.Class) })
	return all
}

// meanLoad is the average over patches of a year's load; known is false where
// one of them doesn't know it.
func meanLoad(patches []climatePatch, clock exposure.Clock) (mean float64, known bool) {
	for _, p := range patches {
		if p.yearly == nil {
			return 0, false
		}
		load, known := p.yearly.Of(clock)
		if !known {
			return 0, false
		}
		mean += load / float64(len(patches))
	}
	return mean, len(patches) > 0
}
