package reports

import (
	"fmt"
	"slices"
	"strings"

	"beadspan/stats/survival/pooled"
	"beadspan/study"
)

// Condition is by what factor patches kept or laid otherwise last longer, in
// the same climate.
type Condition struct {
	Name   string // "vertical rather than horizontal"
	Ratio  float64
	Limits Limits
	P      float64
}

func newCondition(f pooled.Factor) Condition {
	return Condition{f.Name, f.Value, Limits{f.Lower, f.Upper}, f.P}
}

// conditionColumn is a 1 for patches of one level.
type conditionColumn struct {
	name, level string
	levelOf     func(climatePatch) string
}

func (c conditionColumn) of(p climatePatch) float64 { return float64(one(c.levelOf(p) == c.level)) }

// chooseConditions compares each level of orientation, substrate and garage
// with the most frequent. A level with too few spent patches counts as that.
func (s *climateSample) chooseConditions() {
	for _, factor := range []struct {
		what    string
		levelOf func(climatePatch) string
	}{
		{"orientation", func(p climatePatch) string { return string(p.Patch.Orientation) }},
		{"substrate", func(p climatePatch) string { return string(p.Patch.Substrate) }},
		{"garage", func(p climatePatch) string { return garageWords(p.Vehicle.Garage) }},
	} {
		s.chooseLevels(factor.what, factor.levelOf)
	}
}

func (s *climateSample) chooseLevels(what string, levelOf func(climatePatch) string) {
	patches, spent := map[string]int{}, map[string][]member{}
	for _, p := range s.patches {
		patches[levelOf(p)]++
		if p.Span.Spent() {
			spent[levelOf(p)] = append(spent[levelOf(p)], p.member)
		}
	}
	var rare, enough []string
	for level := range patches {
		if len(spent[level]) >= pooled.LeastEnded && vehiclesOf(spent[level], func(member) bool { return true }) >= pooled.LeastEndedClusters {
			enough = append(enough, level)
		} else {
			rare = append(rare, level)
		}
	}
	slices.Sort(rare)
	slices.SortFunc(enough, func(a, b string) int {
		if patches[a] != patches[b] {
			return patches[b] - patches[a]
		}
		return strings.Compare(a, b)
	})
	if len(enough) < 2 {
		return
	}
	for _, level := range enough[1:] {
		s.conditions = append(s.conditions, conditionColumn{level + " rather than " + enough[0], level, levelOf})
	}
	if len(rare) > 0 {
		s.merged = append(s.merged, fmt.Sprintf("For %s, too few patches of %s were spent to tell them apart: they count as %s.", what, listed(rare), enough[0]))
	}
}

func garageWords(g study.Garage) string {
	switch g {
	case study.GarageUnknown:
		return "garage unknown"
	case study.Carport:
		return "under a carport"
	}
	return string(g)
}
