package reports

import (
	"math"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
	"beadspan/study"
)

// CheckupAdvice says when a vehicle's next checkup should be.
type CheckupAdvice struct {
	// ByPlan is the day by the plan's plain interval; nil where it asks for none.
	ByPlan *study.Day `json:"by_plan"`
	// Best is the day on which a checkup would tell most of how long such
	// coatings last, and From the first on which it would tell enoughOfBest of
	// that; nil where the fleet can't tell.
	From *study.Day `json:"tells_much_from"`
	Best *study.Day `json:"tells_most_on"`
	// Lives is how much it tells on Best, in lives known to the day.
	Lives *float64 `json:"information_lives"`
	// Why says why the fleet can't tell; empty where it can.
	Why string `json:"why_not"`
}

// enoughOfBest is the part of the most information for which it isn't worth
// waiting longer: a vehicle may be out of sight by then. A choice of ours.
const enoughOfBest = 0.9

// Why the fleet can't tell when to look.
const (
	tooFewSpent  = "too few such coatings were spent so far to tell better"
	beyondFollow = "no such coating was followed long enough to tell better"
	askedSooner  = "a second reading comes first"
)

// daysBetweenTries is how finely days are tried: nobody comes to the day.
const daysBetweenTries = 7

// dueCurves are the lives of the fleet so far, by coating and climate and by
// coating alone.
type dueCurves map[Group]dueCurve

// dueCurve is the share that holds at each day of service, as far as any patch
// was followed.
type dueCurve []float64

// newDueCurves fits each group that has enough spent patches to tell of. The
// distribution is the one of four that fits best.
func newDueCurves(followed []study.Followed) dueCurves {
	curves := dueCurves{}
	for _, by := range [][]By{{ByCoating}, {ByCoating, ByClimate}} {
		groups, members := grouped(followed, by)
		for _, g := range groups {
			if c := newDueCurve(newSample(members[g])); c != nil {
				curves[g] = c
			}
		}
	}
	return curves
}

// newDueCurve returns nil where the spans don't tell enough.
func newDueCurve(s sample) dueCurve {
	if s.spent < leastSpent || s.spentVehicles < leastSpentVehicles {
		return nil
	}
	choice, err := aft.Choose(aft.Data{Spans: s.spans})
	if err != nil {
		return nil // not estimable: the same as too few
	}
	_, longest := s.followUp()
	curve := dueCurve{1}
	for day := 1.0; day <= longest; day++ {
		at, err := choice.Models[0].Survival(aft.Life{X: []float64{1}}, day, 0.95)
		if err != nil {
			return nil
		}
		curve = append(curve, at.Survival)
	}
	return curve
}

// of is the curve of a patch's coating in its climate, else of its coating.
func (c dueCurves) of(f study.Followed) dueCurve {
	if curve := c[groupOf(f, []By{ByCoating, ByClimate})]; curve != nil {
		return curve
	}
	return c[groupOf(f, []By{ByCoating})]
}

// advise says when to check a vehicle next. A patch in question is to be read
// at once, so that no other day is asked for.
func (c dueCurves) advise(due study.VehicleDue, on study.Day) CheckupAdvice {
	advice := CheckupAdvice{ByPlan: due.NextCheckup}
	if len(due.Watched) == 0 {
		return advice
	}
	lives, last, why := c.lives(due.Watched, on)
	if why != "" {
		advice.Why = why
		return advice
	}
	plan, err := survival.PlanInspection(lives, everyWeek(on, last), enoughOfBest)
	switch {
	case err != nil: // there is always a day to try
		advice.Why = err.Error()
	case plan == nil || plan.Open:
		advice.Why = beyondFollow
	default:
		advice.From, advice.Best = new(study.Day(plan.Enough)), new(study.Day(plan.Best))
		advice.Lives = &plan.Information
	}
	return advice
}

// lives are the chances that patches hold, with the last day up to which they
// were all followed in the fleet; why says why there are none.
func (c dueCurves) lives(watched []study.Followed, on study.Day) (lives []func(day float64) float64, last study.Day, why string) {
	why = tooFewSpent
	for _, f := range watched {
		if f.Span.Standing == study.Doubtful {
			return nil, 0, askedSooner
		}
		curve := c.of(f)
		if curve == nil {
			continue
		}
		end := f.Patch.InService() + study.Day(len(curve)-1)
		if end <= on {
			why = beyondFollow
			continue
		}
		if len(lives) == 0 || end < last {
			last = end
		}
		lives = append(lives, curve.sinceLastSeen(f))
	}
	if len(lives) > 0 {
		why = ""
	}
	return lives, last, why
}

// sinceLastSeen is the chance that a patch holds on a calendar day, given that
// it held at its last proof. It is NaN beyond what was followed.
func (c dueCurve) sinceLastSeen(f study.Followed) func(day float64) float64 {
	begin, held := float64(f.Patch.InService()), 0
	if f.Span.Known {
		held = int(f.Span.LowerDays)
	}
	return func(day float64) float64 {
		age := int(day - begin)
		if age < held || age >= len(c) || c[held] == 0 {
			return math.NaN()
		}
		return c[age] / c[held]
	}
}

func everyWeek(from, to study.Day) []float64 {
	var days []float64
	for day := from; day <= to; day += daysBetweenTries {
		days = append(days, float64(day))
	}
	return days
}
