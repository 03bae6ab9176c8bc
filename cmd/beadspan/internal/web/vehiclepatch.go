package web

import (
	"fmt"
	"html/template"
	"slices"

	"beadspan/study"
)

// patchStory is a patch with how it stands, why, and what was read on it.
type patchStory struct {
	patchLine
	Why      []string
	Job      []fact
	Warnings []study.Warning // of its coating job
	Readings []readingLine   // the latest first
	// Wide and Narrow are its timeline for a desk and for a phone; empty where
	// nothing was read.
	Wide, Narrow template.HTML
}

// fact is something known by a name.
type fact struct{ Name, Value string }

// readingLine is one reading.
type readingLine struct {
	study.Reading
	Day    study.Day
	Mean   *float64 // of its angles, in degrees
	Spread *float64 // standard deviation of them
	// Judged says that the protocol judges it, and Passes how.
	Judged, Passes bool
}

func newPatchStory(l *language, p study.Protocol, f study.Followed, today study.Day) patchStory {
	story := patchStory{patchLine: newPatchLine(f), Job: jobFacts(l, f.Patch.Job), Warnings: f.Patch.Job.Warnings()}
	if !f.Coating.Control {
		story.Why = standingWhy(l, p, f)
	}
	for _, c := range slices.Backward(f.Vehicle.Checkups) { // in order of day
		for _, r := range slices.Backward(c.Readings) { // in order of stage
			if r.PatchID == f.Patch.ID {
				story.Readings = append(story.Readings, newReadingLine(p, c.Day, r))
			}
		}
	}
	if len(story.Readings) > 0 {
		story.Wide = drawTimeline(l, p, story, today, deskPlot)
		story.Narrow = drawTimeline(l, p, story, today, phonePlot)
	}
	return story
}

func newReadingLine(p study.Protocol, day study.Day, r study.Reading) readingLine {
	line := readingLine{Reading: r, Day: day}
	if mean, measured := r.MeanAngleDeg(); measured {
		line.Mean = &mean
	}
	if spread, measured := r.SpreadDeg(); measured {
		line.Spread = &spread
	}
	if value, measured := p.Metric.Value(r); measured {
		line.Judged = true
		line.Passes = value >= p.Threshold
		if !p.Metric.HigherIsGood() {
			line.Passes = value <= p.Threshold
		}
	}
	return line
}

// jobFacts lists what was written down of a coating job.
func jobFacts(l *language, j study.Job) []fact {
	var facts []fact
	add := func(key string, x *float64) {
		if x != nil {
			facts = append(facts, fact{l.text(fmt.Sprintf("job.%s", key)), l.text(fmt.Sprintf("unit.%s", key), "x", trimmed(l, *x))})
		}
	}
	if j.Layers != nil {
		facts = append(facts, fact{l.text("job.layers"), l.number(*j.Layers)})
	}
	add("layer_interval_h", j.LayerIntervalH)
	add("flash_s", j.FlashS)
	add("air_temp_c", j.AirTempC)
	add("humidity_pct", j.HumidityPct)
	add("prep_alcohol_pct", j.PrepAlcoholPct)
	add("keep_dry_h", j.KeepDryH)
	add("days_to_first_wash", j.DaysToFirstWash)
	return facts
}

// trimmed writes a number with as few decimals as it needs, at most two.
func trimmed(l *language, x float64) string {
	for decimals := range 2 {
		if fmt.Sprintf("%.*f", decimals, x) == fmt.Sprint(x) {
			return l.decimal(x, decimals)
		}
	}
	return l.decimal(x, 2)
}
