package store

import (
	"fmt"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"beadspan/study"
)

// date is a study.Day as the driver reads and writes it.
type date study.Day

// ScanDate reads a day.
func (d *date) ScanDate(v pgtype.Date) error {
	if !v.Valid || v.InfinityModifier != pgtype.Finite {
		return fmt.Errorf("not a calendar day")
	}
	*d = date(study.DayOfTime(v.Time))
	return nil
}

// DateValue writes a day.
func (d date) DateValue() (pgtype.Date, error) {
	return pgtype.Date{Time: study.Day(d).Time(), Valid: true}, nil
}

// firstDay and lastDay are the days that the database keeps: years of four
// digits.
var (
	firstDay = study.DayOf(1, time.January, 1)
	lastDay  = study.DayOf(9999, time.December, 31)
)
