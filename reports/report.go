package reports

import (
	"context"
	"fmt"

	"beadspan/study"
)

// Report is what a study's fleet has shown, worked out and ready to be
// written.
type Report struct {
	Study   study.Study
	Size    study.Size
	Options Options
	// First and Last are the days of the first and the last checkup; both nil
	// when there is none.
	First, Last *study.Day

	Flow      *Flow
	Quality   *Quality
	Life      *Life // by coating
	ByClimate *Life // by coating and climate
	// ClimateLife pools the climates, and tells of others.
	ClimateLife *ClimateLife
	SiteWeather Table // of a usual year at the study's sites
	Clocks      *Clocks
	JobEffects  *JobEffects
	Decays      Decays
	Standings   []StandingCount
	// Decided and Reviews leave out the uncoated controls.
	Decided study.Decided
	Reviews []Review
	// Practice counts where jobs and care left common practice.
	Practice []PracticeCount
	// Further sections tell of what was worked out beside the report. They follow
	// what it says of coatings itself.
	Further []Section
}

// Options says how a report is made. DefaultOptions has sensible ones.
type Options struct {
	Level               float64 // confidence level, between 0 and 1
	BootstrapReplicates int     // 39 or more at a level of 0.95
	Seed                uint64  // the same seed gives the same report
	// Made and Version are printed, so that a figure can be traced: the day on
	// which the report is made, and the version of the program that makes it.
	Made    study.Day
	Version string
	// Provenance is told as it is.
	Provenance Provenance
	// Progress is as in LifeOptions, over all tables of the report.
	Progress func(done, total int)
}

// DefaultOptions asks for 95 % limits from 500 bootstrap replicates.
func DefaultOptions(made study.Day, version string) Options {
	life := DefaultLifeOptions()
	return Options{Level: life.Level, BootstrapReplicates: life.BootstrapReplicates, Seed: life.Seed, Made: made, Version: version}
}

func (o Options) life(by ...By) LifeOptions {
	return LifeOptions{By: by, Level: o.Level, BootstrapReplicates: o.BootstrapReplicates, Seed: o.Seed}
}

// New works out the report of a study from its fleet. Patches are judged under
// the study's protocol. Options that make no sense are ErrOptions.
func New(ctx context.Context, s study.Study, fleet study.Fleet, options Options) (*Report, error) {
	return NewOfFollowed(ctx, s, fleet, fleet.Follow(s.Protocol), options)
}

// NewOfFollowed is New for who has the spans of the fleet's patches already, as
// Fleet.Follow gives them under the study's protocol.
func NewOfFollowed(ctx context.Context, s study.Study, fleet study.Fleet, followed []study.Followed, options Options) (*Report, error) {
	r := &Report{Study: s, Size: fleet.Size(), Options: options}
	r.First, r.Last = checkupDays(fleet)
	r.Flow = newFlow(&fleet, followed)
	r.Quality = newQuality(&fleet, followed, s.Protocol)
	coated := withoutControls(followed)
	r.Standings = standingsOf(coated)
	r.Reviews = reviewsOf(coated)
	r.Practice = practiceOf(coated)
	for _, f := range coated {
		r.Decided.Add(f.Span.Decided)
	}
	work, err := r.estimateLives(ctx, followed)
	if err != nil {
		return nil, fmt.Errorf("report of study %s: %w", s.Code, err)
	}
	if err := r.tellClimate(ctx, followed, fleet); err != nil {
		return nil, fmt.Errorf("report of study %s: %w", s.Code, err)
	}
	if r.Decays, err = NewDecays(ctx, followed, r.Life, DecayOptions{Protocol: s.Protocol, Level: options.Level, Seed: options.Seed, Done: work.modelled}); err != nil {
		return nil, fmt.Errorf("report of study %s: %w", s.Code, err)
	}
	return r, nil
}

// estimateLives fills in the tables of life, and returns the count of the
// report's work, of which the decays are left.
func (r *Report) estimateLives(ctx context.Context, followed []study.Followed) (*tally, error) {
	byCoating, err := planLife(followed, r.Options.life(ByCoating))
	if err != nil {
		return nil, err
	}
	byClimate, err := planLife(followed, r.Options.life(ByCoating, ByClimate))
	if err != nil {
		return nil, err
	}
	work := newTally(r.Options.Progress, byCoating, byClimate)
	work.total += modelShare * len(byCoating.groups)
	if r.Life, err = byCoating.carryOut(ctx, work); err != nil {
		return nil, err
	}
	r.ByClimate, err = byClimate.carryOut(ctx, work)
	return work, err
}

func withoutControls(followed []study.Followed) []study.Followed {
	var coated []study.Followed
	for _, f := range followed {
		if !f.Coating.Control {
			coated = append(coated, f)
		}
	}
	return coated
}

func checkupDays(fleet study.Fleet) (first, last *study.Day) {
	for _, v := range fleet.Vehicles {
		for _, c := range v.Checkups {
			if first == nil || c.Day < *first {
				first = &c.Day
			}
			if last == nil || c.Day > *last {
				last = &c.Day
			}
		}
	}
	return first, last
}
