package reports

import (
	"math"
	"slices"

	"beadspan/stats/agreement"
	"beadspan/study"
)

// Quality tells how good a study's data are, as far as they show it themselves.
// Readings of uncoated controls count as any other.
type Quality struct {
	Checkups, NoOperator int // checkups, and those of which nobody wrote down who did them
	Readings             int
	WithoutMetric        int // readings that lack what the protocol judges by
	ReadLate             int // coated patches first read later than they should have been

	Stages []StageVisits
	Gaps   []GapCount
	// MedianGap and LongestGap, in days, lie between two days on which a coated
	// patch was read; nil where none was read twice.
	MedianGap, LongestGap *float64

	// Drops counts readings by how many drops they have, from none on.
	Drops [study.MostDrops + 1]int
	// Wide readings have drops that scatter more than they should.
	Wide int
	// Repeatability is the scatter of single drops of one reading.
	Repeatability agreement.Scatter
	Digits        Digits

	// Raters compares operators who took turns at reading clean panels.
	Raters    agreement.Raters
	Operators []OperatorQuality
}

// StageVisits counts the days on which patches were read at just these stages.
type StageVisits struct {
	Stages []study.Stage
	Visits int
}

// GapCount counts times between readings of a patch that are longer than those of
// the row before and no longer than Days; in the last row Days is 0, for any.
type GapCount struct {
	Days, Gaps int
}

// gapDays bounds the rows of gaps.
var gapDays = []int{30, 60, 90, 120, 180, 365, 0}

// Digits tells how drops' angles were written down.
type Digits struct {
	Angles int
	// Whole angles are of whole degrees, and Last counts them by their last digit.
	Whole int
	Last  [10]int
}

// OperatorQuality is what one operator's readings show.
type OperatorQuality struct {
	Code               string
	Checkups, Readings int
	Drops              int // all drops read
	Repeatability      agreement.Scatter
	// Offset is by how much the operator reads clean panels higher than the others
	// who read the same ones before and after; nil where there are none.
	Offset *agreement.Offset
	Digits Digits
}

func newQuality(fleet *study.Fleet, followed []study.Followed, p study.Protocol) *Quality {
	q := &Quality{}
	count := newQualityCount(fleet, p)
	for i := range fleet.Vehicles {
		count.vehicle(q, &fleet.Vehicles[i])
	}
	var series [][]agreement.Measurement
	for _, f := range followed {
		days := count.daysOf(f)
		q.Stages = addStages(q.Stages, days)
		if !f.Coating.Control {
			count.gaps = append(count.gaps, gapsOf(days)...)
			q.ReadLate += one(len(days) > 0 && int(days[0].day-f.Patch.InService()) > study.FirstReadingDays && f.Vehicle.Enrolled <= f.Patch.InService())
		}
		series = append(series, count.cleanSeries(f))
	}
	slices.SortFunc(q.Stages, compareStages)
	q.setGaps(count.gaps)
	q.Repeatability = agreement.Within(count.repeats)
	q.Raters = agreement.Neighbours(series)
	q.Operators = count.operatorRows(q.Raters)
	return q
}

// setGaps sorts gaps into rows.
func (q *Quality) setGaps(gaps []float64) {
	if len(gaps) == 0 {
		return
	}
	slices.Sort(gaps)
	median, longest := gaps[(len(gaps)-1)/2], gaps[len(gaps)-1]
	q.MedianGap, q.LongestGap = &median, &longest
	from := 0
	for _, most := range gapDays {
		to := len(gaps)
		if most > 0 {
			to, _ = slices.BinarySearch(gaps, float64(most)+0.5)
		}
		q.Gaps = append(q.Gaps, GapCount{most, to - from})
		from = to
	}
}

// add counts one angle.
func (d *Digits) add(angle float64) {
	d.Angles++
	if angle == math.Trunc(angle) {
		d.Whole++
		d.Last[int(angle)%10]++
	}
}

// Round counts the whole angles that end in 0 or 5: a fifth of them, where nobody
// prefers these.
func (d Digits) Round() int { return d.Last[0] + d.Last[5] }
