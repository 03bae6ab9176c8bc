package reports

import (
	"context"
	"fmt"
	"math"

	"beadspan/stats/survival"
	"beadspan/study"
)

// LifeRow tells how long the patches of one group last.
type LifeRow struct {
	Group
	Vehicles, Patches    int // of whose life something is known
	Spent, SpentVehicles int // spent patches, and vehicles with one
	// LeftOut patches were never conclusively read, or enrolled late and never
	// seen holding: nothing is known of their life, and they count nowhere else.
	LeftOut int
	// Late patches were enrolled after their service began, and count from the
	// first reading that passed.
	Late int
	// LeftCensored patches were spent without any proof of holding before.
	LeftCensored int

	// Half of the patches were followed for HalfFollowedMonths at least; none
	// for more than LongestMonths.
	HalfFollowedMonths, LongestMonths float64

	// Median is nil where too few patches were spent for one.
	Median *Median
	// At12 and At24 tell of 12 and 24 months in service; nil where too few
	// were spent, or nobody was followed for so long.
	At12, At24 *Share
	// NobodyFailed is what follows from no patch being spent; nil otherwise.
	NobodyFailed *NobodyFailed
	// VisitDate is what the mistake of taking the day of the checkup for the
	// day of the end would say; nil where it says nothing.
	VisitDate *VisitDate
	// Curve is nil where Median is.
	Curve *Curve
	Notes []string
}

// Median is the time by which half of the patches were spent.
type Median struct {
	// Months is +Inf when half were not spent within the time followed. Within
	// Between the data don't tell where it lies, and Months spreads the share
	// evenly, a convention.
	Months  float64
	Between Limits
	Limits  *Limits // nil when not estimable; a High of +Inf is not reached
}

// Share is the share of patches that still hold after a time.
type Share struct {
	Months float64
	// Share lies between AtLeast and AtMost, as far as the checkups tell: the
	// two are equal outside of a curve's stretches, and within one Share spreads
	// the fall evenly, a convention.
	Share, AtLeast, AtMost float64
	Limits                 *Limits // nil when not estimable
}

// NobodyFailed is the least share that holds after a time, given that all of a
// number of vehicles did.
type NobodyFailed struct {
	Months   float64
	Vehicles int
	AtLeast  float64
}

// VisitDate is the Kaplan–Meier median of lives taken to end on the day of the
// checkup that saw them ended.
type VisitDate struct {
	MedianMonths float64
	BiasMonths   float64 // MedianMonths less Median.Months
}

// No median is given with fewer spent patches, or fewer vehicles with one. With
// few more it is called early. House rules: judgement, no source.
const (
	leastSpent         = 5
	leastSpentVehicles = 3
	fewSpent           = 10
	fewSpentVehicles   = 5
	// leastAtRisk is how many patches must be followed where a curve falls.
	leastAtRisk = 5
	// fewVehicles makes limits from resampling vehicles too narrow. Common
	// practice: 20 to 30.
	fewVehicles = 20
)

func newLifeRow(ctx context.Context, g Group, s sample, o LifeOptions, work *tally) (*LifeRow, error) {
	half, longest := s.followUp()
	row := &LifeRow{
		Group:              g,
		Vehicles:           s.vehicles,
		Patches:            len(s.spans),
		Spent:              s.spent,
		SpentVehicles:      s.spentVehicles,
		LeftOut:            s.unknown,
		Late:               s.late,
		LeftCensored:       s.leftCensored,
		HalfFollowedMonths: half / study.DaysPerMonth,
		LongestMonths:      longest / study.DaysPerMonth,
	}
	switch {
	case len(s.spans) == 0:
		row.note("Nothing is known of any of its patches yet.")
	case s.spent == 0:
		return row, row.nobodyFailed(s, o.Level)
	case s.spent < leastSpent || s.spentVehicles < leastSpentVehicles:
		row.note("%d of %s spent, on %s: too few for a median, which takes %d spent patches on %d vehicles.",
			s.spent, patches(len(s.spans)), vehicles(s.spentVehicles), leastSpent, leastSpentVehicles)
	default:
		return row, row.estimate(ctx, s, o, work)
	}
	return row, nil
}

// nobodyFailed says what follows from no patch being spent, for the longest
// round time for which enough vehicles were followed from the start.
func (row *LifeRow) nobodyFailed(s sample, level float64) error {
	row.note("None of %s on %s was spent: there is no median.", patches(row.Patches), vehicles(row.Vehicles))
	for _, months := range []float64{24, 12, 6, 3} {
		n := s.vehiclesHolding(months * study.DaysPerMonth)
		if n < leastSpentVehicles {
			continue
		}
		atLeast, err := survival.NobodyFailed(n, level)
		if err != nil {
			return err
		}
		row.NobodyFailed = &NobodyFailed{months, n, atLeast}
		row.note("All %s vehicles followed for %g months still held: with %s confidence at least %s of such vehicles would (%.3g^(1/%d)).",
			number(n), months, confidence(level), percent(atLeast), 1-level, n)
		break
	}
	return nil
}

// vehiclesHolding counts the vehicles with a patch that was followed from the
// start and seen holding on day t or later.
func (s sample) vehiclesHolding(t float64) int {
	holding := map[int]bool{}
	for _, span := range s.spans {
		if span.Entry == 0 && span.Lower >= t {
			holding[span.Cluster] = true
		}
	}
	return len(holding)
}

func (row *LifeRow) note(format string, args ...any) {
	row.Notes = append(row.Notes, fmt.Sprintf(format, args...))
}

// noteReach says how far the estimates carry.
func (row *LifeRow) noteReach() {
	if math.IsInf(row.Median.Months, 1) {
		row.note("Fewer than half were spent within the %s months followed, so there is no median; nothing is said of later.",
			months(row.LongestMonths))
	}
	for _, m := range []float64{12, 24} {
		if row.LongestMonths < m {
			row.note("Nobody was followed for %g months.", m)
			break
		}
	}
	if row.Spent < fewSpent || row.SpentVehicles < fewSpentVehicles {
		row.note("Early: it rests on %d spent patches on %d vehicles.", row.Spent, row.SpentVehicles)
	}
	if row.Vehicles < fewVehicles {
		row.note("Limits from fewer than %d vehicles (%d) tend to be too narrow.", fewVehicles, row.Vehicles)
	}
}
