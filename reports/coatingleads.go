package reports

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"beadspan/stats/survival"
	"beadspan/study"
)

// MeanLead is by how many months one coating outlasts another on average, of
// lives counted up to a horizon, with both coatings in the same mix of climates
// and ways that panels face.
type MeanLead struct {
	HorizonMonths float64
	// Means are the months that A's and B's patches last, counted so.
	Means  [2]float64
	Months float64 // by which A's mean lies above B's
	Limits Limits
	// Open is where the difference lies by what the checkups leave open alone.
	Open Limits
	// Patches of A and B that count: those in places where the other is too.
	Patches [2]int
}

// mostDrawn is how many vehicles a replicate draws at most: to draw all of 20,000
// would take minutes, and these give the same error after scaling.
const mostDrawn = 400

// compareMeans fills in the leads of all pairs.
func (c *FleetComparison) compareMeans(ctx context.Context, s *coatingSample, o ComparisonOptions, work *tally) error {
	for i := range c.Pairs {
		pair := &c.Pairs[i]
		end := work.done + o.BootstrapReplicates
		var err error
		if pair.Lead, pair.LeadWhy, err = s.pair(pair.A, pair.B).lead(ctx, pair.A, pair.B, o, work); err != nil {
			return fmt.Errorf("%s and %s: %w", pair.A, pair.B, err)
		}
		work.reach(end)
	}
	return nil
}

// lead compares the means of two coatings, or says why it can't.
func (s *coatingSample) lead(ctx context.Context, a, b string, o ComparisonOptions, work *tally) (*MeanLead, string, error) {
	s = s.inCommon(a, b)
	if len(s.patches) == 0 {
		return nil, "they have no climate in common on panels that face the same way", nil
	}
	for _, code := range []string{a, b} {
		if n := s.of(code).side(); !n.spentEnough() {
			return nil, fmt.Sprintf("where both are, of %s %d of %s spent, on %s; a mean takes %d on %d", code, n.Spent, patches(n.Patches),
				vehicles(n.SpentVehicles), leastSpent, leastSpentVehicles), nil
		}
	}
	horizon, why := s.horizon(a, b, o.HorizonMonths)
	if why != "" {
		return nil, why, nil
	}
	found, err := survival.CompareMeans(ctx, survival.MeanResampling{Tau: horizon * study.DaysPerMonth, Level: o.Level,
		Replicates: o.BootstrapReplicates, Seed: o.Seed, Most: mostDrawn, Done: work.one}, s.places(a, b)...)
	switch {
	case notComparable(err):
		return nil, fmt.Sprintf("it can’t be estimated up to %g months (%v)", horizon, err), nil
	case err != nil:
		return nil, "", err
	case math.IsNaN(found.SE):
		return nil, fmt.Sprintf("nothing tells how far it may be off up to %g months", horizon), nil
	}
	inMonths := func(low, high float64) Limits { return Limits{low / study.DaysPerMonth, high / study.DaysPerMonth} }
	lead := &MeanLead{HorizonMonths: horizon, Months: found.Difference / study.DaysPerMonth,
		Limits: inMonths(found.Lower, found.Upper), Open: inMonths(found.Open.Lower, found.Open.Upper),
		Patches: [2]int{len(s.of(a).patches), len(s.of(b).patches)}}
	for g, mean := range found.Means {
		lead.Means[g] = mean / study.DaysPerMonth
	}
	return lead, "", nil
}

// notComparable reports whether err says that the data don't allow a comparison
// of means, and not that something is wrong.
func notComparable(err error) bool {
	var unsettled *survival.ConvergenceError
	return errors.As(err, &unsettled) || slices.ContainsFunc(
		[]error{survival.ErrIncomparable, survival.ErrUnseen, survival.ErrClusters, survival.ErrReplicates},
		func(target error) bool { return errors.Is(err, target) })
}

// placeOf is where a patch is: in what climate, facing which way.
func placeOf(m *member) string { return classOf(m) + ", " + orientationOf(m) }

// inCommon is the sample of the patches in places where both coatings are.
func (s *coatingSample) inCommon(a, b string) *coatingSample {
	there := map[string][2]bool{}
	for _, m := range s.patches {
		two := there[placeOf(m)]
		two[0] = two[0] || codeOf(m) == a
		two[1] = two[1] || codeOf(m) == b
		there[placeOf(m)] = two
	}
	return s.keep(func(m *member) bool { return there[placeOf(m)] == [2]bool{true, true} })
}

// places are the spans of two coatings by place.
func (s *coatingSample) places(a, b string) (strata [][][]survival.Span) {
	names := s.distinct(placeOf)
	position := map[string]int{}
	for i, name := range names {
		position[name] = i
		strata = append(strata, make([][]survival.Span, 2))
	}
	for _, m := range s.patches {
		g := one(codeOf(m) == b)
		groups := strata[position[placeOf(m)]]
		groups[g] = append(groups[g], m.span())
	}
	return strata
}

// horizon is the time up to which lives count, in months: the one asked for, or
// the last whole month up to which both coatings are followed well.
func (s *coatingSample) horizon(a, b string, asked float64) (months float64, why string) {
	months = math.Inf(1)
	for _, code := range []string{a, b} {
		of := s.of(code)
		if !slices.ContainsFunc(of.patches, func(m *member) bool { return m.Span.EntryDays == 0 }) {
			return 0, fmt.Sprintf("no patch of %s was followed from the start of its service", code)
		}
		wanted := math.Max(asked, 1)
		last := of.followedWell() / study.DaysPerMonth
		if last < wanted {
			return 0, fmt.Sprintf("fewer than %d patches of %s on %d vehicles were followed for %s", leastAtRisk, code, leastSpentVehicles,
				count(int(math.Ceil(wanted)), "month", "months"))
		}
		months = math.Min(months, math.Floor(last))
	}
	if asked > 0 {
		return asked, ""
	}
	return months, ""
}

// followedWell is up to which day as many patches and vehicles are followed as
// make an estimate.
func (s *coatingSample) followedWell() float64 {
	spans := s.spans()
	slices.SortFunc(spans, func(a, b survival.Span) int { return cmp.Compare(lastSeen(b), lastSeen(a)) })
	seen := map[int]bool{}
	for i, span := range spans {
		seen[span.Cluster] = true
		if i+1 >= leastAtRisk && len(seen) >= leastSpentVehicles {
			return lastSeen(span)
		}
	}
	return 0
}
