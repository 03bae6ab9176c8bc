package reports

import (
	"context"
	"fmt"

	"beadspan/stats/survival"
	"beadspan/study"
)

// JobEffects tells what the conditions of the coating job did to the life of
// patches, as far as jobs differed.
//
// An effect is the ratio of lives, patches of the same coating in the same
// climate compared, on panels of the same orientation and substrate, of vehicles
// kept alike, and with the other conditions alike where nearly all of the
// patches have them on record. It is what went with a condition in these
// records: nobody dealt the conditions out at random.
type JobEffects struct {
	Level float64
	// Law is the distribution of lives; empty when nothing could be estimated.
	Law string
	// Vehicles, Patches and Spent are those of known life in cells of coating and
	// climate in which a patch was spent: others tell nothing of job conditions.
	Vehicles, Patches, Spent int
	Effects                  []JobEffect
	Notes                    []string
}

// JobEffect is what one condition did.
type JobEffect struct {
	Condition string // "air temperature"
	Contrast  string // "below 10 °C", "for each hour more"
	Against   string // "10 to 25 °C"; empty for a slope

	// With and Without are the patches on either side, of those that the estimate
	// rests on or would have rested on. Of a slope all are With.
	With, Without JobSide

	// Why says why nothing was estimated; the rest is then empty.
	Why    string
	Ratio  float64 // of lives, with to without
	Limits Limits  // robust to vehicles; of this effect alone
	P      float64
	// Adjusted is P adjusted, by Holm's method, for all effects estimated.
	Adjusted float64
	// Shown is whether the effect is more than chance at 1 − Level, adjusted.
	Shown bool
}

// JobSide counts patches.
type JobSide struct {
	Vehicles, Patches, Spent, SpentVehicles int
}

// JobEffectOptions says how effects of job conditions are estimated.
type JobEffectOptions struct {
	Level  float64 // confidence level, between 0 and 1
	Limits JobLimits
}

// JobLimits say where a condition leaves what is usual. Common practice, no
// source.
type JobLimits struct {
	ColdC        float64 // below it is cold
	HotC         float64 // above it is hot
	DampPct      float64 // relative humidity above it is damp
	Layers       int     // fewer and more are told apart
	KeepDryH     float64 // below it is short
	WashFreeDays float64 // a first wash before is early
}

// DefaultJobEffectOptions asks for 95 % limits and common practice.
func DefaultJobEffectOptions() JobEffectOptions {
	return JobEffectOptions{Level: 0.95,
		Limits: JobLimits{ColdC: 10, HotC: 25, DampPct: 70, Layers: 2, KeepDryH: 24, WashFreeDays: 7}}
}

// An effect takes this many patches on either side, with as many spent and
// vehicles with one as a median takes; a slope takes as many different values,
// and spent patches. House rules: judgement, no source.
const (
	leastSide       = 10
	leastDifferent  = 4
	leastSlopeSpent = 2 * leastSpent
	// leastRecorded is the share of patches of which another condition must be on
	// record for it to be held alike.
	leastRecorded = 0.9
)

// NewJobEffects estimates what job conditions did to the life of a study's
// coated patches. Conditions without enough variation get a reason instead of a
// number. A level outside (0, 1) is ErrOptions.
func NewJobEffects(ctx context.Context, followed []study.Followed, o JobEffectOptions) (*JobEffects, error) {
	if !(o.Level > 0 && o.Level < 1) {
		return nil, fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, o.Level)
	}
	e := &JobEffects{Level: o.Level}
	f := newJobFits(followed, o)
	all := f.side()
	e.Vehicles, e.Patches, e.Spent = all.Vehicles, all.Patches, all.Spent
	if err := f.chooseLaw(); err != nil {
		return nil, fmt.Errorf("effects of job conditions: %w", err)
	}
	if f.settled {
		e.Law = f.law.String()
	}
	for _, c := range f.conditions {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		effects, err := f.effectsOf(c)
		if err != nil {
			return nil, fmt.Errorf("effect of %s: %w", c.name, err)
		}
		e.Effects = append(e.Effects, effects...)
	}
	e.adjust()
	e.note()
	return e, nil
}

// adjust adjusts p-values for how many effects were looked at.
func (e *JobEffects) adjust() {
	var ps []float64
	for _, effect := range e.Effects {
		if effect.Why == "" {
			ps = append(ps, effect.P)
		}
	}
	adjusted := survival.Holm(ps)
	for i := range e.Effects {
		if effect := &e.Effects[i]; effect.Why == "" {
			effect.Adjusted, adjusted = adjusted[0], adjusted[1:]
			effect.Shown = effect.Adjusted < 1-e.Level
		}
	}
}

// note adds what a reader must know beside the effects.
func (e *JobEffects) note() {
	say := func(format string, args ...any) { e.Notes = append(e.Notes, fmt.Sprintf(format, args...)) }
	estimated := 0
	for _, effect := range e.Effects {
		estimated += one(effect.Why == "")
	}
	if estimated > 0 {
		say("Estimated with a %s model on %s of %s, %s spent: coating and climate, orientation, substrate and garage alike, and other conditions where nearly all have them on record. Limits are robust to vehicles and hold for one effect alone; p is adjusted for the %s looked at.",
			lawWords(e.Law), patches(e.Patches), vehicles(e.Vehicles), number(e.Spent), count(estimated, "effect", "effects"))
		say("A condition is what went with longer or shorter lives in these records, not proof that it made them so.")
	}
	say("An effect takes %d patches on either side, %d of them spent on %d vehicles; a slope %d different values and %d spent.",
		leastSide, leastSpent, leastSpentVehicles, leastDifferent, leastSlopeSpent)
}
