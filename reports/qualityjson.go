package reports

import (
	"beadspan/stats/agreement"
	"beadspan/study"
)

// qualityRecord is Quality as machines read it.
type qualityRecord struct {
	NoOperator    missingRecord    `json:"checkups_without_operator"`
	WithoutMetric missingRecord    `json:"readings_without_metric"`
	ReadLate      missingRecord    `json:"patches_first_read_late"`
	Doubtful      missingRecord    `json:"visits_failed_without_decon"`
	Pending       missingRecord    `json:"patches_with_pending_fail"`
	Days          int              `json:"days_read"` // of all patches
	Stages        []stageRecord    `json:"days_by_stages"`
	Gaps          []gapRecord      `json:"gaps"`
	MedianGap     *float64         `json:"median_gap_days"`
	LongestGap    *float64         `json:"longest_gap_days"`
	Drops         []int            `json:"readings_by_drops"`
	Wide          int              `json:"readings_with_wide_drops"`
	Repeatability scatterRecord    `json:"drops_within_reading"`
	Alone         scatterRecord    `json:"between_readings_of_one_operator"`
	Mixed         scatterRecord    `json:"between_readings_of_several_operators"`
	Digits        digitsRecord     `json:"digits"`
	Operators     []operatorRecord `json:"operators"`
}

type stageRecord struct {
	Stages []study.Stage `json:"stages"`
	Days   int           `json:"days"`
	Share  *float64      `json:"share"`
}

type gapRecord struct {
	UpTo  *int     `json:"up_to_days"`
	Gaps  int      `json:"gaps"`
	Share *float64 `json:"share"`
}

type scatterRecord struct {
	SD *float64 `json:"sd_deg"`
	DF int      `json:"degrees_of_freedom"`
}

type digitsRecord struct {
	Angles int     `json:"angles"`
	Whole  int     `json:"whole_degrees"`
	Last   [10]int `json:"whole_degrees_by_last_digit"`
	// LastShares are of the whole angles, as is RoundShare, that of 0 and 5.
	LastShares [10]*float64 `json:"share_by_last_digit"`
	RoundShare *float64     `json:"share_ending_in_0_or_5"`
}

// missingRecord is how many of something lack something.
type missingRecord struct {
	Missing int      `json:"n"`
	Of      int      `json:"of"`
	Share   *float64 `json:"share"`
}

// shareOf is nil of none.
func shareOf(n, of int) *float64 {
	if of == 0 {
		return nil
	}
	share := float64(n) / float64(of)
	return &share
}

func missingOf(n, of int) missingRecord { return missingRecord{n, of, shareOf(n, of)} }

type operatorRecord struct {
	Operator string        `json:"operator"`
	Checkups int           `json:"checkups"`
	Readings int           `json:"readings"`
	Drops    int           `json:"drops"`
	PerRead  *float64      `json:"drops_per_reading"`
	Scatter  scatterRecord `json:"drops_within_reading"`
	Offset   *float64      `json:"offset_deg"`
	OffsetOf *int          `json:"offset_readings"`
	Digits   digitsRecord  `json:"digits"`
}

func (q *Quality) record(d study.Decided) qualityRecord {
	r := qualityRecord{
		NoOperator: missingOf(q.NoOperator, q.Checkups), WithoutMetric: missingOf(q.WithoutMetric, q.Readings), ReadLate: missingOf(q.ReadLate, d.Patches),
		Doubtful: missingOf(d.DoubtfulVisits, d.Visits), Pending: missingOf(d.Pending, d.Patches),
		Stages: []stageRecord{}, Gaps: []gapRecord{}, MedianGap: q.MedianGap, LongestGap: q.LongestGap,
		Drops: q.Drops[:], Wide: q.Wide, Repeatability: scatterOf(q.Repeatability), Alone: scatterOf(q.Raters.Alone), Mixed: scatterOf(q.Raters.Mixed),
		Digits: q.Digits.record(), Operators: []operatorRecord{},
	}
	days, gaps := 0, 0
	for _, s := range q.Stages {
		days += s.Visits
	}
	for _, g := range q.Gaps {
		gaps += g.Gaps
	}
	r.Days = days
	for _, s := range q.Stages {
		r.Stages = append(r.Stages, stageRecord{s.Stages, s.Visits, shareOf(s.Visits, days)})
	}
	for _, g := range q.Gaps {
		row := gapRecord{nil, g.Gaps, shareOf(g.Gaps, gaps)}
		if g.Days > 0 {
			row.UpTo = &g.Days
		}
		r.Gaps = append(r.Gaps, row)
	}
	for _, o := range q.Operators {
		row := operatorRecord{Operator: o.Code, Checkups: o.Checkups, Readings: o.Readings, Drops: o.Drops,
			PerRead: shareOf(o.Drops, o.Readings), Scatter: scatterOf(o.Repeatability), Digits: o.Digits.record()}
		if o.Offset != nil {
			row.Offset, row.OffsetOf = &o.Offset.Mean, &o.Offset.N
		}
		r.Operators = append(r.Operators, row)
	}
	return r
}

func (d Digits) record() digitsRecord {
	r := digitsRecord{Angles: d.Angles, Whole: d.Whole, Last: d.Last, RoundShare: shareOf(d.Round(), d.Whole)}
	for digit, n := range d.Last {
		r.LastShares[digit] = shareOf(n, d.Whole)
	}
	return r
}

func scatterOf(s agreement.Scatter) scatterRecord { return scatterRecord{finite(s.SD), s.DF} }
