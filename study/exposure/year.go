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

// moment is the beginning of a day as a month sees it.
type moment struct {
	year, month int     // month from 0
	part        float64 // of the month that is over
}

// momentOf counts a month's days as they are: 28 or 29 in February.
func momentOf(d study.Day) moment {
	number, month, day := d.Time().Date()
	return moment{number, int(month) - 1, float64(day-1) / float64(daysOf(number, month))}
}

// until is the load from the turn of the year 0 up to a moment. A month's load
// is spread evenly over it.
func (y *year) until(m moment) float64 {
	return float64(m.year)*y.total() + y.before[m.month] + m.part*(y.before[m.month+1]-y.before[m.month])
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
