package reports

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/stat"

	"beadspan/study"
)

// mostListed is how many readings the table behind a plot lists one by one;
// more are gathered by month.
const mostListed = 40

// leastQuartiles is how many readings quartiles take. House rule.
const leastQuartiles = 4

// decayTable holds the numbers behind the plot of d.
func decayTable(d Decay) Table {
	t := Table{Caption: d.Coating + ": clean contact angle by months in service"}
	if len(d.Readings) <= mostListed {
		d.listReadings(&t)
	} else {
		d.listMonths(&t)
	}
	return t
}

func (d Decay) listReadings(t *Table) {
	t.Head = []string{"Months", "Mean of the drops", "Drops"}
	for _, r := range d.inOrder() {
		t.add(months(r.Days/study.DaysPerMonth), tenths(r.AngleDeg), fmt.Sprint(r.Drops))
	}
}

// inOrder are the readings by time in service.
func (d Decay) inOrder() []CleanReading {
	return slices.SortedStableFunc(slices.Values(d.Readings), func(a, b CleanReading) int { return cmp.Compare(a.Days, b.Days) })
}

// tableSpots are where the rows of decayTable are drawn: a reading at its own
// place, a month on the curve or, where there is none, at its readings' mean.
func (d Decay) tableSpots() []valueSpot {
	var spots []valueSpot
	if len(d.Readings) <= mostListed {
		for i, r := range d.inOrder() {
			spots = append(spots, valueSpot{i, 0, r.Days / study.DaysPerMonth, r.AngleDeg})
		}
		return spots
	}
	for month, angles := range d.byMonth() {
		middle := float64(month) + 0.5
		if m, ok := d.meanAt(middle); ok {
			spots = append(spots, valueSpot{month, 0, middle, m.AngleDeg})
		} else if len(angles) > 0 {
			spots = append(spots, valueSpot{month, 0, middle, stat.Mean(angles, nil)})
		}
	}
	return spots
}

func (d Decay) listMonths(t *Table) {
	t.Head = []string{"Month", "Readings", "Their mean", "Middle half", "Curve at mid-month", confidence(d.Level) + " limits"}
	for month, angles := range d.byMonth() {
		mean, quartiles := "–", "–"
		if len(angles) > 0 {
			mean = tenths(stat.Mean(angles, nil))
		}
		if len(angles) >= leastQuartiles {
			quartiles = tenths(stat.Quantile(0.25, stat.Empirical, angles, nil)) + "–" + tenths(stat.Quantile(0.75, stat.Empirical, angles, nil))
		}
		curve, limits := "–", "–"
		if m, ok := d.meanAt(float64(month) + 0.5); ok {
			curve = tenths(m.AngleDeg)
			if m.Limits != nil {
				limits = tenths(m.Limits.Low) + "–" + tenths(m.Limits.High)
			}
		}
		t.add(fmt.Sprint(month+1), number(len(angles)), mean, quartiles, curve, limits)
	}
}

// byMonth sorts the angles of each month in service, from the first to the
// last with a reading.
func (d Decay) byMonth() [][]float64 {
	var byMonth [][]float64
	for _, r := range d.Readings {
		month := int(r.Days / study.DaysPerMonth)
		for len(byMonth) <= month {
			byMonth = append(byMonth, nil)
		}
		byMonth[month] = append(byMonth[month], r.AngleDeg)
	}
	for _, angles := range byMonth {
		slices.Sort(angles)
	}
	return byMonth
}
