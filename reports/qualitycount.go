package reports

import (
	"cmp"
	"slices"

	"beadspan/stats/agreement"
	"beadspan/study"
)

// qualityCount goes through a fleet's readings.
type qualityCount struct {
	protocol  study.Protocol
	operators map[study.ID]*operatorCount
	order     []study.Person
	repeats   [][]float64 // drops of each reading
	gaps      []float64
}

type operatorCount struct {
	OperatorQuality
	number  int
	repeats [][]float64
}

func newQualityCount(fleet *study.Fleet, p study.Protocol) *qualityCount {
	c := &qualityCount{protocol: p, operators: map[study.ID]*operatorCount{}, order: slices.Clone(fleet.People)}
	slices.SortFunc(c.order, func(a, b study.Person) int { return cmp.Compare(a.Code, b.Code) })
	for i, person := range c.order {
		c.operators[person.ID] = &operatorCount{OperatorQuality: OperatorQuality{Code: person.Code}, number: i}
	}
	return c
}

// operator finds who did a checkup; nil where nobody wrote it down.
func (c *qualityCount) operator(of study.Checkup) *operatorCount {
	if of.OperatorID == nil {
		return nil
	}
	return c.operators[*of.OperatorID]
}

// vehicle counts the readings of a vehicle.
func (c *qualityCount) vehicle(q *Quality, v *study.Vehicle) {
	for _, checkup := range v.Checkups {
		q.Checkups++
		who := c.operator(checkup)
		if who == nil {
			q.NoOperator++
		} else {
			who.Checkups++
		}
		for _, r := range checkup.Readings {
			c.reading(q, who, r)
		}
	}
}

func (c *qualityCount) reading(q *Quality, who *operatorCount, r study.Reading) {
	q.Readings++
	if _, measured := c.protocol.Metric.Value(r); !measured {
		q.WithoutMetric++
	}
	q.Drops[min(len(r.AnglesDeg), study.MostDrops)]++
	if spread, measured := r.SpreadDeg(); measured {
		q.Wide += one(spread > study.MostSpreadDeg)
		c.repeats = append(c.repeats, r.AnglesDeg)
	}
	for _, angle := range r.AnglesDeg {
		q.Digits.add(angle)
	}
	if who == nil {
		return
	}
	who.Readings++
	who.Drops += len(r.AnglesDeg)
	who.repeats = append(who.repeats, r.AnglesDeg)
	for _, angle := range r.AnglesDeg {
		who.Digits.add(angle)
	}
}

// patchDay is a day on which a patch was read.
type patchDay struct {
	day    study.Day
	stages []study.Stage // in the order of the visit
}

// daysOf lists the days on which a patch was read by what the protocol judges by.
func (c *qualityCount) daysOf(f study.Followed) []patchDay {
	byDay := map[study.Day][]study.Stage{}
	for _, checkup := range f.Vehicle.Checkups {
		for _, r := range checkup.Readings {
			if _, measured := c.protocol.Metric.Value(r); measured && r.PatchID == f.Patch.ID && !slices.Contains(byDay[checkup.Day], r.Stage) {
				byDay[checkup.Day] = append(byDay[checkup.Day], r.Stage)
			}
		}
	}
	var days []patchDay
	for day, stages := range byDay {
		slices.SortFunc(stages, compareStage)
		days = append(days, patchDay{day, stages})
	}
	slices.SortFunc(days, func(a, b patchDay) int { return cmp.Compare(a.day, b.day) })
	return days
}

func compareStage(a, b study.Stage) int {
	return cmp.Compare(slices.Index(study.Stages(), a), slices.Index(study.Stages(), b))
}

func compareStages(a, b StageVisits) int { return slices.CompareFunc(a.Stages, b.Stages, compareStage) }

func addStages(rows []StageVisits, days []patchDay) []StageVisits {
	for _, d := range days {
		at := slices.IndexFunc(rows, func(row StageVisits) bool { return slices.Equal(row.Stages, d.stages) })
		if at < 0 {
			at = len(rows)
			rows = append(rows, StageVisits{Stages: d.stages})
		}
		rows[at].Visits++
	}
	return rows
}

func gapsOf(days []patchDay) []float64 {
	var gaps []float64
	for i := 1; i < len(days); i++ {
		gaps = append(gaps, float64(days[i].day-days[i-1].day))
	}
	return gaps
}

// cleanSeries lists the angles of a clean panel until the patch leaves, by whom
// it is known that they read it.
func (c *qualityCount) cleanSeries(f study.Followed) []agreement.Measurement {
	var series []agreement.Measurement
	until, leaves := c.protocol.LeavesOn(*f.Vehicle, *f.Patch)
	for _, checkup := range f.Vehicle.Checkups {
		who := c.operator(checkup)
		if who == nil || leaves && checkup.Day > until {
			continue
		}
		for _, r := range checkup.Readings {
			if angle, measured := r.MeanAngleDeg(); measured && r.Stage == study.Decon && r.PatchID == f.Patch.ID {
				series = append(series, agreement.Measurement{Time: float64(checkup.Day), Value: angle, Rater: who.number})
			}
		}
	}
	slices.SortStableFunc(series, func(a, b agreement.Measurement) int { return cmp.Compare(a.Time, b.Time) })
	return series
}

// operatorRows has a row for each operator who did a checkup.
func (c *qualityCount) operatorRows(raters agreement.Raters) []OperatorQuality {
	var rows []OperatorQuality
	for _, person := range c.order {
		who := c.operators[person.ID]
		if who.Checkups == 0 {
			continue
		}
		row := who.OperatorQuality
		row.Repeatability = agreement.Within(who.repeats)
		if offset, known := raters.Offsets[who.number]; known {
			row.Offset = &offset
		}
		rows = append(rows, row)
	}
	return rows
}
