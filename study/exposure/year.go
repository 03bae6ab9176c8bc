package exposure

import (
	"time"

	"beadspan/study"
)

// year is a load that comes back every year, month by month: before[m] is what
// has come by the first day of month m, counted from 0, and before[12] the
// whole.
type year struct{ before [13]float64 }

func newYear(months [12]float64) *year {
	var y year
	for m, load := range months {
		y.before[m+1] = y.before[m] + load
	}
	return &y
}

// until is the load from the turn of the year 0 up to the beginning of a day. A
// month's load is spread evenly over its days, be they 28 or 29.
func (y *year) until(d study.Day) float64 {
	if y.total() == 0 {
		return 0
	}
	number, month, day := d.Time().Date()
	m := int(month) - 1
	part := float64(day-1) / float64(daysOf(number, month))
	return float64(number)*y.total() + y.before[m] + part*(y.before[m+1]-y.before[m])
}

func (y *year) total() float64 { return y.before[12] }

func daysOf(year int, month time.Month) int {
	switch month {
	case time.April, time.June, time.September, time.November:
		return 30
	case time.February:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}
