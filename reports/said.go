package reports

import "beadspan/study"

// LifeByClimate is the name of the plot of life by climate.
const LifeByClimate = lifeByClimate

// ProtocolWords says in plain words when a patch counts as spent under p.
func ProtocolWords(p study.Protocol) []string { return protocolWords(p) }

// WeatherWords says what the columns of Report.SiteWeather mean.
func WeatherWords() string { return weatherWords() }

// AllNotes lists the notes of the rows, each once with the groups that it is
// about, and then the notes of the table.
func (l *Life) AllNotes() []string { return l.gatheredNotes() }
