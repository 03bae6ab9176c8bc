package study

import (
	"fmt"
	"time"
)

// DaysPerMonth turns days into months: a twelfth of a Julian year.
const DaysPerMonth = 30.4375

// Day is a calendar day, counted in days since 1970-01-01. The zero Day is
// that date; a day that may be missing is a *Day.
type Day int

// DayOf returns the calendar day of year, month and day of the month.
func DayOf(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)
}

// DayOfTime returns the calendar day that t shows in its own time zone.
func DayOfTime(t time.Time) Day {
	return DayOf(t.Date())
}

// ParseDay reads an ISO 8601 calendar date such as 2026-04-30.
func ParseDay(text string) (Day, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date like 2026-04-30", text)
	}
	return DayOfTime(t), nil
}

// Time returns midnight UTC at the start of d.
func (d Day) Time() time.Time {
	return time.Unix(int64(d)*secondsPerDay, 0).UTC()
}

// String writes d as an ISO 8601 date.
func (d Day) String() string {
	return d.Time().Format(time.DateOnly)
}

// MarshalText writes d as an ISO 8601 date, in JSON too.
func (d Day) MarshalText() ([]byte, error) {
	return []byte(d.String()), nil
}

// UnmarshalText reads an ISO 8601 date.
func (d *Day) UnmarshalText(text []byte) error {
	parsed, err := ParseDay(string(text))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}

const secondsPerDay = 24 * 60 * 60
