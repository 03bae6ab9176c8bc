package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/reports"
	"beadspan/study/climate"
)

type climateCommand struct {
	studyFlag
	Level    float64 `default:"0.95" help:"Confidence level of the limits."`
	Forecast string  `placeholder:"SITE" help:"Say instead what to expect at a stored site; or name a city or a position."`
	placeFlags
	normalsFlags
	JSON bool `name:"json" help:"Print JSON at full precision."`
}

// Help explains the command with an example.
func (climateCommand) Help() string {
	return `Prints how long each coating lasts in each climate: pooled, so that climates with few
spent patches lean on the others, and by itself; what an average year there brings; by
what factor lives change with ultraviolet, heat and frost; which clock lives line up best
on; and what the conditions of the coating job did. Vehicles are taken as clusters.
What the study can't tell is left out, and a note says how much more it would take.

With --forecast SITE, --city or --lat and --lon it says what to expect at a place that isn't in
the study: with wider limits, since climates differ.

Example:
  beadspan climate
  beadspan climate --demo --city Phoenix --sunshine-h 3870
  beadspan climate --demo --forecast QUAY --json`
}

// Run prints life by climate, or the forecast.
func (c climateCommand) Run(ctx context.Context, a *app) error {
	elsewhere := c.given() || c.Lon != nil || c.Country != ""
	switch {
	case c.Forecast != "" && elsewhere:
		return usageError("climate: name one of a stored site (--forecast), a city (--city) or a position (--lat and --lon)")
	case c.Forecast == "" && !elsewhere && c.normalsFlags != (normalsFlags{}):
		return usageError("climate: say which place the weather is of: a city (--city), a position (--lat and --lon) or a stored site (--forecast)")
	}
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return err
	}
	followed := fleet.Follow(st.Protocol)
	sites, err := reports.SitesOf(fleet)
	if err != nil {
		return err
	}
	life, err := reports.NewClimateLife(followed, sites, c.Level)
	if err != nil {
		return asked("climate", err)
	}
	if c.Forecast != "" || elsewhere {
		return c.forecast(ctx, a, life)
	}
	clocks := reports.DefaultClockOptions()
	jobs := reports.DefaultJobEffectOptions()
	clocks.Level, jobs.Level = c.Level, c.Level
	byClock, err := reports.NewClocks(ctx, followed, sites, clocks)
	if err != nil {
		return err
	}
	ofJobs, err := reports.NewJobEffects(ctx, followed, jobs)
	if err != nil {
		return err
	}
	parts := climateParts(life, byClock, ofJobs)
	if c.JSON {
		return writeParts(a.out, parts)
	}
	for _, part := range parts {
		if part.heading != "" {
			fmt.Fprintf(a.out, "\n%s\n\n", part.heading)
		}
		if err := part.WriteText(a.out); err != nil {
			return err
		}
	}
	_, err = fmt.Fprint(a.out, creditLines())
	return err
}

// climatePart is one of the things that the command prints.
type climatePart struct {
	key, heading string
	part
}

// climateParts are what the command prints when no forecast is asked for.
func climateParts(life, byClock, ofJobs part) []climatePart {
	return []climatePart{
		{"life_by_climate", "", life},
		{"clocks", "Clocks", byClock},
		{"job_effects", "The coating job", ofJobs},
	}
}

// part is written for people and for machines.
type part interface {
	WriteText(w io.Writer) error
	WriteJSON(w io.Writer) error
}

// writeParts writes all parts as one JSON object.
func writeParts(w io.Writer, parts []climatePart) error {
	all := map[string]any{"credits": climate.Credits()}
	for _, part := range parts {
		var buf bytes.Buffer
		if err := part.WriteJSON(&buf); err != nil {
			return err
		}
		all[part.key] = json.RawMessage(buf.Bytes())
	}
	return writeJSON(w, all)
}

// forecast tells of the place that the flags name.
func (c climateCommand) forecast(ctx context.Context, a *app, life *reports.ClimateLife) error {
	atlas, err := climate.OpenAtlas()
	if err != nil {
		return err
	}
	where, place, err := c.place(ctx, a, atlas)
	if err != nil {
		return err
	}
	year, err := yearOf(atlas, where, place, c.normalsFlags)
	if err != nil {
		return err
	}
	forecast, err := life.Forecast(where.Name, year.Climate)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeParts(a.out, []climatePart{{"forecast", "", forecast}})
	}
	if err := forecast.WriteText(a.out); err != nil {
		return err
	}
	_, err = fmt.Fprint(a.out, creditLines())
	return err
}

// place is the stored site, the city or the position.
func (c climateCommand) place(ctx context.Context, a *app, atlas *climate.Atlas) (siting.Where, climate.Place, error) {
	if c.Forecast != "" {
		return a.storedPlace(ctx, c.Forecast)
	}
	where, err := c.locate(atlas)
	return where, climate.Place{}, err
}
