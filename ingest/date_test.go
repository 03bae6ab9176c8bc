package ingest

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"beadspan/study"
)

func TestParseDate(t *testing.T) {
	fourthOfMarch := study.DayOf(2025, time.March, 4)
	for _, test := range []struct {
		order DateOrder
		text  string
		want  study.Day
	}{
		{OnlyISO, "2025-03-04", fourthOfMarch},
		{DayMonthYear, "2025-03-04", fourthOfMarch},
		{MonthDayYear, "2025-03-04", fourthOfMarch},
		{OnlyISO, "2025-03-04T00:00:00", fourthOfMarch},
		{OnlyISO, "2025-03-04 00:00", fourthOfMarch},
		{OnlyISO, "2025/3/4", fourthOfMarch},
		{OnlyISO, "2025.03.04", fourthOfMarch},
		{DayMonthYear, "4.3.2025", fourthOfMarch},
		{DayMonthYear, "04. 03. 2025", fourthOfMarch},
		{DayMonthYear, "4/3/2025", fourthOfMarch},
		{DayMonthYear, "4-3-2025", fourthOfMarch},
		{MonthDayYear, "3/4/2025", fourthOfMarch},
		{MonthDayYear, "3/4/2025 0:00:00", fourthOfMarch},
	} {
		day, problem := dateReader{order: test.order, today: lastDay}.parse(test.text)
		assert.Empty(t, problem, test)
		assert.Equal(t, test.want, day, test)
	}
}

func TestDatesThatAreRefused(t *testing.T) {
	for _, test := range []struct {
		order DateOrder
		text  string
		want  string
	}{
		{OnlyISO, "4.3.2025", "day or month first? say which with --dates dmy or --dates mdy, or write 2025-03-04"},
		{OnlyISO, "25.3.2025", "day or month first? say which with --dates dmy or --dates mdy, or write 2025-03-04"},
		{DayMonthYear, "3/25/2025", "there is no day 3 of month 25 in 2025; dates were said to be dmy"},
		{MonthDayYear, "25.3.2025", "there is no day 3 of month 25 in 2025; dates were said to be mdy"},
		{DayMonthYear, "4.3.25", "expected a year of four digits, such as 2025-03-04"},
		{OnlyISO, "2025-02-29", "there is no day 29 of month 02 in 2025"},
		{OnlyISO, "2025-03-04 14:30", "expected a date without a time of day"},
		{OnlyISO, "45000", "expected a date such as 2025-03-04"},
		{OnlyISO, "4 March 2025", "expected a date such as 2025-03-04"},
		{OnlyISO, "4.3/2025", "expected a date such as 2025-03-04"},
		{DayMonthYear, "-4.3.2025", "expected a date such as 2025-03-04"},
		{OnlyISO, "0205-03-04", "the date is 0205-03-04: expected none before 1990-01-01"},
		{OnlyISO, "2062-03-04", "the date is 2062-03-04, in the future: expected none after 2026-10-31"},
	} {
		_, problem := dateReader{order: test.order, today: lastDay}.parse(test.text)
		assert.Equal(t, test.want, problem, test)
	}
}

// July 5, 1998 is 35981 and 34519 in the two systems: Microsoft Knowledge Base
// article 214330, "Differences between the 1900 and the 1904 date system".
// 45000 is 2023-03-15 by Microsoft's rule that serials count days from there.
func TestWorkbookSerials(t *testing.T) {
	for _, test := range []struct {
		epoch  epoch
		serial string
		want   study.Day
	}{
		{epoch1900, "35981", study.DayOf(1998, time.July, 5)},
		{epoch1904, "34519", study.DayOf(1998, time.July, 5)},
		{epoch1900, "45000", study.DayOf(2023, time.March, 15)},
		{epoch1904, "43538", study.DayOf(2023, time.March, 15)},
		{epoch1900, "45000.0", study.DayOf(2023, time.March, 15)},
		{epoch1900, "2023-03-15", study.DayOf(2023, time.March, 15)}, // a date kept as text
	} {
		day, problem := dateReader{today: lastDay, epoch: test.epoch}.parse(test.serial)
		assert.Empty(t, problem, test)
		assert.Equal(t, test.want, day, test)
	}
	for serial, want := range map[string]string{
		"45000.5": "expected a date without a time of day",
		"2025":    "the date is 1905-07-17: expected none before 1990-01-01", // a bare year
		"-1":      "expected a date such as 2025-03-04",
		"NaN":     "expected a date such as 2025-03-04",
		"1e300":   "expected a date such as 2025-03-04",
	} {
		_, problem := dateReader{today: lastDay, epoch: epoch1900}.parse(serial)
		assert.Equal(t, want, problem, serial)
	}
}

// A local date says the same day as its ISO form, whichever day it is.
func TestLocalDatesAgreeWithISO(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		want := days(rt, firstDay, lastDay)
		year, month, day := want.Time().Date()
		mark := rapid.SampledFrom([]string{".", "/", "-"}).Draw(rt, "mark")
		for order, text := range map[DateOrder]string{
			DayMonthYear: fmt.Sprintf("%d%s%d%s%d", day, mark, month, mark, year),
			MonthDayYear: fmt.Sprintf("%02d%s%02d%s%d", month, mark, day, mark, year),
		} {
			got, problem := dateReader{order: order, today: lastDay}.parse(text)
			assert.Empty(rt, problem)
			assert.Equal(rt, want, got)
		}
	})
}
