package reports

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"beadspan/study"
)

// Claims holds what makers claim of their coatings against what a study has
// seen, by the rule of its protocol.
type Claims struct {
	Rule       study.ClaimRule
	Replicates int // of the bootstrap behind the limits
	Seed       uint64
	// Rows are the coatings of which something is claimed, by code.
	Rows []ClaimRow
	// Notes hold for all rows.
	Notes []string
}

// ClaimRow is the claim on one coating, held against patches in all climates of
// the study or in one.
type ClaimRow struct {
	Group
	// LowMonths and HighMonths are what is claimed; nil where nothing is.
	LowMonths, HighMonths    *float64
	Vehicles, Patches, Spent int // of whose life something is known
	LongestMonths            float64
	Verdict                  study.Verdict
	// Ends are the verdict's parts: the lower end of the claim before the higher.
	Ends []ClaimEnd
	// More is how much more follow-up would decide; nil where the verdict is
	// there, or where no number can be told.
	More *MoreFollowUp
	// ByClimate are details: the same claim in each climate of the study. None
	// for a row that is one.
	ByClimate []ClaimRow

	curve *Curve
	look  look
}

// ClaimOptions says how claims are judged.
type ClaimOptions struct {
	Rule                study.ClaimRule
	BootstrapReplicates int
	Seed                uint64 // the same seed gives the same limits
	// Life and ByClimate are tables of life that were made already, by coating
	// and by coating and climate. They are used where they are of the rule's level,
	// with as many replicates and the same seed; nil otherwise.
	Life, ByClimate *Life
	Progress        func(done, total int) // as in LifeOptions
}

// DefaultClaimOptions asks for limits from 500 bootstrap replicates.
func DefaultClaimOptions(rule study.ClaimRule) ClaimOptions {
	return ClaimOptions{Rule: rule, BootstrapReplicates: 500, Seed: 1}
}

// level is the confidence of all limits.
func (o ClaimOptions) level() float64 { return o.Rule.ConfidencePct / 100 }

// life are the options of the tables of life behind the verdicts.
func (o ClaimOptions) life(by ...By) LifeOptions {
	return LifeOptions{By: by, Level: o.level(), BootstrapReplicates: o.BootstrapReplicates, Seed: o.Seed, Progress: o.Progress}
}

// NewClaims judges what is claimed of the coatings by what is known of their
// patches; controls are left out. A rule that makes no sense, or too few
// replicates for its level, is ErrOptions.
func NewClaims(ctx context.Context, coatings []study.Coating, followed []study.Followed, o ClaimOptions) (*Claims, error) {
	if problems := o.Rule.Validate(); len(problems) > 0 {
		return nil, fmt.Errorf("%w: %v", ErrOptions, problems.OrNil())
	}
	c := &Claims{Rule: o.Rule, Replicates: o.BootstrapReplicates, Seed: o.Seed}
	claimed := claimedOf(coatings)
	order := coatingsOf(followed)
	groups, err := claimGroups(ctx, claimed, followed, o)
	if err != nil {
		return nil, fmt.Errorf("judge claims: %w", err)
	}
	for _, coating := range claimed {
		row, err := c.judge(ctx, coating, groups.overall[coating.Code])
		if err != nil {
			return nil, fmt.Errorf("judge the claim on %s: %w", coating.Code, err)
		}
		row.look = lookOf(max(0, slices.Index(order, coating.Code)))
		for _, g := range groups.byClimate[coating.Code] {
			detail, err := c.judge(ctx, coating, g)
			if err != nil {
				return nil, fmt.Errorf("judge the claim on %s: %w", g.row.Group, err)
			}
			row.ByClimate = append(row.ByClimate, *detail)
		}
		c.Rows = append(c.Rows, *row)
	}
	c.note()
	return c, nil
}

// claimedOf are the coatings of which something is claimed, by code.
func claimedOf(coatings []study.Coating) []study.Coating {
	claimed := slices.DeleteFunc(slices.Clone(coatings), func(c study.Coating) bool { return c.Control || !c.Claimed() })
	slices.SortFunc(claimed, func(a, b study.Coating) int { return strings.Compare(a.Code, b.Code) })
	return claimed
}

// coatingsOf are the codes of the coated patches' coatings, as a table of life
// has them.
func coatingsOf(followed []study.Followed) []string {
	seen := map[string]bool{}
	for _, f := range withoutControls(followed) {
		seen[OrUnknown(f.Coating.Code)] = true
	}
	return slices.Sorted(maps.Keys(seen))
}

// judge holds the claim on a coating against a group of its patches.
func (c *Claims) judge(ctx context.Context, coating study.Coating, g claimGroup) (*ClaimRow, error) {
	row := &ClaimRow{
		Group: g.row.Group, LowMonths: coating.ClaimLowMonths, HighMonths: coating.ClaimHighMonths,
		Vehicles: g.row.Vehicles, Patches: g.row.Patches, Spent: g.row.Spent, LongestMonths: g.row.LongestMonths, curve: g.row.Curve,
	}
	row.Coating = coating.Code
	weibull, err := g.weibull()
	if err != nil {
		return nil, err
	}
	var verdicts []study.Verdict
	for _, end := range c.endsOf(coating) {
		if err := g.fill(ctx, &end); err != nil {
			return nil, err
		}
		if err := weibull.fill(&end, g); err != nil {
			return nil, err
		}
		row.Ends = append(row.Ends, end)
		verdicts = append(verdicts, end.Verdict)
	}
	row.Verdict = study.JudgeClaim(verdicts...)
	row.More = row.moreFollowUp()
	return row, nil
}

// endsOf are the ends of a claim with what they promise. A claim of 0 months
// promises nothing, and one whose ends are the same is no "up to".
func (c *Claims) endsOf(coating study.Coating) []ClaimEnd {
	var ends []ClaimEnd
	low, high := coating.ClaimLowMonths, coating.ClaimHighMonths
	if low != nil && *low > 0 {
		ends = append(ends, ClaimEnd{End: LowEnd, Months: *low, Promised: c.Rule.LowPct / 100})
	}
	if high != nil && *high > 0 && (low == nil || *high > *low) {
		ends = append(ends, ClaimEnd{End: HighEnd, Months: *high, Promised: c.Rule.HighPct / 100})
	}
	return ends
}

// Row returns the row of a coating.
func (c *Claims) Row(coating string) (row ClaimRow, found bool) {
	i := slices.IndexFunc(c.Rows, func(row ClaimRow) bool { return row.Coating == coating })
	if i < 0 {
		return ClaimRow{}, false
	}
	return c.Rows[i], true
}
