package study

// SaltSeason tells the months in which roads are salted, January first.
type SaltSeason [12]bool

// NextDay returns the first day of the season on or after the given one; false
// where there is no season.
func (s SaltSeason) NextDay(from Day) (Day, bool) {
	if s.holds(from) {
		return from, true
	}
	return s.firstOfMonth(from, func(first Day) bool { return s.holds(first) })
}

// NextEnd returns the next day after the given one on which a season is over,
// the first of the first month without salt; false where there is no season,
// or no end of it.
func (s SaltSeason) NextEnd(after Day) (Day, bool) {
	return s.firstOfMonth(after, func(first Day) bool { return !s.holds(first) && s.holds(first-1) })
}

func (s SaltSeason) holds(day Day) bool { return s[day.Time().Month()-1] }

// firstOfMonth returns the first day of a month after the given day that is as
// wanted.
func (s SaltSeason) firstOfMonth(after Day, wanted func(first Day) bool) (Day, bool) {
	year, month, _ := after.Time().Date()
	for range 12 {
		if first := DayOf(year, month+1, 1); wanted(first) {
			return first, true
		}
		month++
	}
	return 0, false
}
