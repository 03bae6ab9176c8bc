package reports

import (
	"beadspan/stats/agreement"
	"beadspan/study"
)

// qualityRecord is Quality as machines read it.
type qualityRecord struct {
	Checkups      int              `json:"checkups"`
	NoOperator    int              `json:"checkups_without_operator"`
	Readings      int              `json:"readings"`
	WithoutMetric int              `json:"readings_without_metric"`
	ReadLate      int              `json:"patches_first_read_late"`
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
}

type gapRecord struct {
	UpTo *int `json:"up_to_days"`
	Gaps int  `json:"gaps"`
}

type scatterRecord struct {
	SD *float64 `json:"sd_deg"`
	DF int      `json:"degrees_of_freedom"`
}

type digitsRecord struct {
	Angles int     `json:"angles"`
	Whole  int     `json:"whole_degrees"`
	Last   [10]int `json:"whole_degrees_by_last_digit"`
}

type operatorRecord struct {
	Operator string        `json:"operator"`
	Checkups int           `json:"checkups"`
	Readings int           `json:"readings"`
	Drops    int           `json:"drops"`
	Scatter  scatterRecord `json:"drops_within_reading"`
	Offset   *float64      `json:"offset_deg"`
	OffsetOf *int          `json:"offset_readings"`
	Digits   digitsRecord  `json:"digits"`
}

func (q *Quality) record() qualityRecord {
	r := qualityRecord{
		Checkups: q.Checkups, NoOperator: q.NoOperator, Readings: q.Readings, WithoutMetric: q.WithoutMetric, ReadLate: q.ReadLate,
		Stages: []stageRecord{}, Gaps: []gapRecord{}, MedianGap: q.MedianGap, LongestGap: q.LongestGap,
		Drops: q.Drops[:], Wide: q.Wide, Repeatability: scatterOf(q.Repeatability), Alone: scatterOf(q.Raters.Alone), Mixed: scatterOf(q.Raters.Mixed),
		Digits: digitsRecord(q.Digits), Operators: []operatorRecord{},
	}
	for _, s := range q.Stages {
		r.Stages = append(r.Stages, stageRecord{s.Stages, s.Visits})
	}
	for _, g := range q.Gaps {
		row := gapRecord{nil, g.Gaps}
		if g.Days > 0 {
			row.UpTo = &g.Days
		}
		r.Gaps = append(r.Gaps, row)
	}
	for _, o := range q.Operators {
		row := operatorRecord{Operator: o.Code, Checkups: o.Checkups, Readings: o.Readings, Drops: o.Drops,
			Scatter: scatterOf(o.Repeatability), Digits: digitsRecord(o.Digits)}
		if o.Offset != nil {
			row.Offset, row.OffsetOf = &o.Offset.Mean, &o.Offset.N
		}
		r.Operators = append(r.Operators, row)
	}
	return r
}

func scatterOf(s agreement.Scatter) scatterRecord { return scatterRecord{finite(s.SD), s.DF} }
