package simulate

import "beadspan/study"

// Weather is the word that somebody at a site wrote down for a day, in a column
// of their own that the log's format doesn't know. It bears on nothing.
func Weather(seed uint64, site string, day study.Day) string {
	for i, s := range shops() {
		if s.site.Code == site {
			c := newChance(seed, weatherStream+uint64(i)<<20+uint64(day))
			return s.weather(c, day)
		}
	}
	return ""
}

// weatherStream numbers the streams of the weather above those of the truth.
const weatherStream = 1 << 33

func (s shop) weather(c chance, day study.Day) string {
	month := day.Time().Month() - 1
	const wettestMM = 150 // a month in which it rains on most days
	if c.happens(min(0.8, s.site.PrecipitationMM[month]/wettestMM)) {
		if s.site.MeanTempC[month] < 1 {
			return "snow"
		}
		return "rain"
	}
	if c.happens(0.5) {
		return "sunny"
	}
	return "overcast"
}
