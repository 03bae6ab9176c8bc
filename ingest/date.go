package ingest

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"beadspan/study"
)

// DateOrder says how dates in a log may be written beside ISO 8601, which is
// always read. It has to be declared: 3/4/2025 is in March or in April.
type DateOrder string

// The orders of dates.
const (
	OnlyISO      DateOrder = ""    // 2025-03-04
	DayMonthYear DateOrder = "dmy" // 4.3.2025, 4/3/2025, 4-3-2025
	MonthDayYear DateOrder = "mdy" // 3/4/2025
)

func (o DateOrder) validate() error {
	switch o {
	case OnlyISO, DayMonthYear, MonthDayYear:
		return nil
	}
	return fmt.Errorf("date order %q: expected dmy, mdy or none", string(o))
}

// firstDay is the earliest date that a log may hold. It is older than the
// trade (common practice, no source), and catches a year's slip of the finger.
var firstDay = study.DayOf(1990, time.January, 1)

// epoch is the day from which a workbook counts its dates.
type epoch int

const (
	noEpoch   epoch = iota // text files: a bare number is no date
	epoch1900              // serial 45000 is 2023-03-15
	epoch1904              // 1462 days later
)

// dateReader reads the dates of one table.
type dateReader struct {
	order DateOrder
	today study.Day
	epoch epoch
}

// parse reads a date; want says what was expected if it can't.
func (d dateReader) parse(text string) (day study.Day, want string) {
	day, want = d.parseAnyDay(text)
	switch {
	case want != "":
		return 0, want
	case day < firstDay:
		return 0, fmt.Sprintf("the date is %s: expected none before %s", day, firstDay)
	case day > d.today:
		return 0, fmt.Sprintf("the date is %s, in the future: expected none after %s", day, d.today)
	}
	return day, ""
}

func (d dateReader) parseAnyDay(text string) (day study.Day, want string) {
	if d.epoch != noEpoch {
		if serial, err := strconv.ParseFloat(text, 64); err == nil {
			return d.epoch.day(serial)
		}
	}
	text, want = withoutMidnight(text)
	if want != "" {
		return 0, want
	}
	if day, err := study.ParseDay(text); err == nil {
		return day, ""
	}
	parts, isDate := splitDate(text)
	if !isDate {
		return 0, "expected a date such as 2025-03-04"
	}
	return d.fromParts(parts)
}

// fromParts puts a date together from three numbers as they were written.
func (d dateReader) fromParts(parts [3]string) (day study.Day, want string) {
	var year, month, dayOfMonth string
	switch {
	case len(parts[0]) == 4: // no country writes year, day, month
		year, month, dayOfMonth = parts[0], parts[1], parts[2]
	case len(parts[2]) != 4:
		return 0, "expected a year of four digits, such as 2025-03-04"
	case d.order == DayMonthYear:
		dayOfMonth, month, year = parts[0], parts[1], parts[2]
	case d.order == MonthDayYear:
		month, dayOfMonth, year = parts[0], parts[1], parts[2]
	default:
		return 0, "day or month first? say which with --dates dmy or --dates mdy, or write 2025-03-04"
	}
	iso := fmt.Sprintf("%s-%02s-%02s", year, month, dayOfMonth)
	day, err := study.ParseDay(iso)
	if err != nil {
		return 0, fmt.Sprintf("there is no day %s of month %s in %s%s", dayOfMonth, month, year, d.orderHint())
	}
	return day, ""
}

func (d dateReader) orderHint() string {
	if d.order == OnlyISO {
		return ""
	}
	return fmt.Sprintf("; dates were said to be %s", string(d.order))
}

// splitDate takes apart three numbers with one kind of mark between them.
func splitDate(text string) (parts [3]string, isDate bool) {
	for _, mark := range []string{".", "/", "-"} {
		words := strings.Split(text, mark)
		if len(words) != 3 {
			continue
		}
		for i, word := range words {
			word = strings.TrimSpace(word)
			if !digits(word, 4) {
				return parts, false
			}
			parts[i] = word
		}
		return parts, true
	}
	return parts, false
}

func digits(word string, most int) bool {
	if word == "" || len(word) > most {
		return false
	}
	for i := range len(word) {
		if word[i] < '0' || word[i] > '9' {
			return false
		}
	}
	return true
}

// withoutMidnight takes off the time of day that some programs write behind
// every date. Another time than midnight was meant, and has no place here.
func withoutMidnight(text string) (date, want string) {
	at := strings.LastIndexAny(text, " T")
	if at < 0 || !strings.Contains(text[at:], ":") {
		return text, ""
	}
	for _, midnight := range []string{"00:00", "00:00:00", "0:00", "0:00:00", "00:00:00Z", "00:00:00.000"} {
		if text[at+1:] == midnight {
			return strings.TrimSpace(text[:at]), ""
		}
	}
	return "", "expected a date without a time of day"
}

// day turns a workbook's serial number into a day. Serials below 61 stand
// before the 29 February 1900 that never was, far below firstDay.
func (e epoch) day(serial float64) (day study.Day, want string) {
	const last = 2_958_465 // 9999-12-31
	if !(0 <= serial && serial <= last) {
		return 0, "expected a date such as 2025-03-04"
	}
	if serial != math.Trunc(serial) {
		return 0, "expected a date without a time of day"
	}
	start := study.DayOf(1899, time.December, 30)
	if e == epoch1904 {
		start = study.DayOf(1904, time.January, 1)
	}
	return start + study.Day(serial), ""
}
