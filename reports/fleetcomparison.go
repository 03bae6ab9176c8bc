package reports

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"beadspan/study"
)

// FleetComparison compares the lives of coatings, each with each other, and
// tells whether another reading of the same records would say otherwise.
type FleetComparison struct {
	Protocol   study.Protocol
	Level      float64
	Replicates int // of the bootstrap behind limits of differences
	Seed       uint64
	// Coatings are those compared, the one that lasts longest first, and those
	// that no ratio could be estimated for last.
	Coatings []ComparedCoating
	// Pairs are all of them, in the order of Coatings.
	Pairs []CoatingPair
	// Readings are the same ratios by other readings of the records. The first is
	// the comparison's own.
	Readings []Reading
	// Models say what the ratios rest on: usually one, and one for each lot of
	// coatings where some have no climate in common with the others.
	Models []RatioModel
	Notes  []string
}

// ComparedCoating counts the patches of a coating of whose life something is
// known.
type ComparedCoating struct {
	Code string
	JobSide
	LongestMonths float64 // followed
}

// CoatingPair compares two coatings. A comes before B in the order of the
// comparison's coatings.
type CoatingPair struct {
	A, B string
	// Both vehicles carry patches of the two, Either of one of them.
	Both, Either int
	// Ratio is how many times as long A lasts as B, in the same climate and on a
	// panel that faces the same way; nil where RatioWhy says why not.
	Ratio    *RatioOfLives
	RatioWhy string
	// Lead is by how much longer; nil where LeadWhy says why not.
	Lead    *MeanLead
	LeadWhy string
	// RankP is that of the log-rank test that deals names of coatings to vehicles
	// or within them, RankAdjusted that by Holm's method for all pairs; NaN where
	// too little is known.
	RankP, RankAdjusted float64
	// RankLonger is the one that lasts longer where that test shows a difference,
	// with all pairs in view; empty where it doesn't.
	RankLonger string
}

// RatioOfLives is how many times as long one coating lasts as another.
type RatioOfLives struct {
	Ratio  float64
	Limits Limits  // of this pair alone
	P      float64 // that the two last equally long
	// Adjusted is P by Holm's method for all pairs with a ratio; NaN in other
	// readings, which test nothing.
	Adjusted float64
}

// Shown reports whether the two are shown to differ at a level, with all pairs
// in view.
func (r *RatioOfLives) Shown(level float64) bool { return r != nil && r.Adjusted < 1-level }

// ComparisonOptions says how coatings are compared. DefaultComparisonOptions has
// sensible ones.
type ComparisonOptions struct {
	Coatings            []string // codes; none for all
	Level               float64  // confidence level, between 0 and 1
	BootstrapReplicates int      // 10 or more
	Seed                uint64
	// HorizonMonths is up to when lives count in differences of means; 0 for as
	// long as both coatings of a pair are followed well.
	HorizonMonths float64
	// Progress is as in LifeOptions.
	Progress func(done, total int)
}

// DefaultComparisonOptions asks for 95 % limits from 200 replicates.
func DefaultComparisonOptions() ComparisonOptions {
	return ComparisonOptions{Level: 0.95, BootstrapReplicates: 200, Seed: 1}
}

// leastReplicates make a standard error.
const leastReplicates = 10

func (o ComparisonOptions) validate() error {
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, o.Level)
	case o.BootstrapReplicates < leastReplicates:
		return fmt.Errorf("%w: %d bootstrap replicates, expected %d or more, such as 200", ErrOptions, o.BootstrapReplicates, leastReplicates)
	case !(o.HorizonMonths >= 0 && o.HorizonMonths <= mostMonths):
		return fmt.Errorf("%w: lives counted up to %g months, expected more than 0 and at most %d, or 0 for as long as both coatings are followed", ErrOptions, o.HorizonMonths, mostMonths)
	}
	return nil
}

// mostMonths is longer than anybody follows a coating.
const mostMonths = 600

// NewFleetComparison compares the coatings of a fleet under a protocol, and
// under others beside it. Uncoated controls are left out, and patches of whose
// life nothing is known.
//
// Options that make no sense are ErrOptions, among them a coating that no patch
// has. Too little data is not an error: each pair then says what is missing.
func NewFleetComparison(ctx context.Context, fleet study.Fleet, protocol study.Protocol, o ComparisonOptions) (*FleetComparison, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	followed := fleet.Follow(protocol)
	if err := o.check(followed); err != nil {
		return nil, err
	}
	c := &FleetComparison{Protocol: protocol, Level: o.Level, Replicates: o.BootstrapReplicates, Seed: o.Seed}
	sample := newCoatingSample(o.of(followed))
	own := sample.ratios(ratioPlan{adjusted: true, clustered: true, level: o.Level})
	if own.err != nil {
		return nil, fmt.Errorf("compare coatings: %w", own.err)
	}
	c.arrange(sample, own)
	readings := readingsOf(protocol, own)
	work := &tally{tell: o.Progress, total: len(c.Pairs)*o.BootstrapReplicates + len(readings)*modelShare}
	if err := c.compareRanks(ctx, o.of(followed)); err != nil {
		return nil, fmt.Errorf("compare coatings: %w", err)
	}
	if err := c.compareMeans(ctx, sample, o, work); err != nil {
		return nil, fmt.Errorf("compare coatings: %w", err)
	}
	for _, r := range readings {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := c.read(r, fleet, o, sample, own); err != nil {
			return nil, fmt.Errorf("compare coatings, %s: %w", r.what, err)
		}
		work.modelled()
	}
	c.note()
	return c, nil
}

// check refuses coatings that no patch has.
func (o ComparisonOptions) check(followed []study.Followed) error {
	known := coatingsOf(followed)
	for _, code := range o.Coatings {
		if !slices.Contains(known, code) {
			return fmt.Errorf("%w: no patch of the study has the coating %q, expected some of %s", ErrOptions, code, strings.Join(known, ", "))
		}
	}
	return nil
}

// of keeps the patches of the coatings asked for.
func (o ComparisonOptions) of(followed []study.Followed) []study.Followed {
	if len(o.Coatings) == 0 {
		return followed
	}
	var kept []study.Followed
	for _, f := range followed {
		if slices.Contains(o.Coatings, f.Coating.Code) {
			kept = append(kept, f)
		}
	}
	return kept
}

// arrange lists coatings and pairs, with the ratios of the comparison's own
// reading.
func (c *FleetComparison) arrange(s *coatingSample, own *ratioFits) {
	c.Models = own.models
	for _, code := range own.byLife(s.coatings()) {
		of := s.of(code)
		c.Coatings = append(c.Coatings, ComparedCoating{code, of.side(), of.longestMonths()})
	}
	for i, a := range c.Coatings {
		for _, b := range c.Coatings[i+1:] {
			pair := CoatingPair{A: a.Code, B: b.Code}
			pair.Both, pair.Either = s.shared(a.Code, b.Code)
			pair.Ratio, pair.RatioWhy = own.ratio(a.Code, b.Code)
			c.Pairs = append(c.Pairs, pair)
		}
	}
	adjustRatios(c.Pairs)
}
