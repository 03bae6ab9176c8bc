package simulate

import (
	"math"

	"beadspan/study"
)

// Job conditions, and what poor ones cost in life. Temperature and humidity
// limits are common practice in the trade, no source; the costs are invented.
const (
	shopTempC       = 20.0 // the bay is heated towards this
	shopHeating     = 0.7  // share of the way from outdoors to there
	coldJobC        = 12.0
	coldJobLife     = 0.90
	singleLayerLife = 0.93
	dampJobPct      = 75.0
	dampJobLife     = 0.95
	jobUnwritten    = 0.08 // share of jobs of which only the date is known
)

func layers() []weighted[int] {
	return []weighted[int]{{0.15, 1}, {0.75, 2}, {0.10, 3}}
}

func keepDryHours() []weighted[float64] {
	return []weighted[float64]{{0.15, 12}, {0.65, 24}, {0.10, 36}, {0.10, 48}}
}

// job draws the conditions of a coating job at a shop on a day.
func (c chance) job(s shop, day study.Day) study.Job {
	outdoors := s.site.MeanTempC[day.Time().Month()-1]
	indoors := outdoors + shopHeating*(shopTempC-outdoors)
	coats := draw(c, layers())
	job := study.Job{
		Layers:          new(coats),
		FlashS:          new(rounded(math.Max(20, c.normal(60, 12)), 5)),
		AirTempC:        new(rounded(c.normal(indoors, 3), 0.5)),
		HumidityPct:     new(rounded(math.Min(95, math.Max(20, c.normal(52, 13))), 1)),
		PrepAlcoholPct:  new(rounded(c.between(30, 50), 5)),
		KeepDryH:        new(draw(c, keepDryHours())),
		DaysToFirstWash: new(float64(c.days(5, 14))),
	}
	if coats > 1 {
		job.LayerIntervalH = new(rounded(c.between(0.75, 2), 0.25))
	}
	return job
}

// jobLife is the share of a good job's life that a job with these conditions
// has.
func jobLife(job study.Job) float64 {
	share := 1.0
	if *job.AirTempC < coldJobC {
		share *= coldJobLife
	}
	if *job.Layers == 1 {
		share *= singleLayerLife
	}
	if *job.HumidityPct > dampJobPct {
		share *= dampJobLife
	}
	return share
}
