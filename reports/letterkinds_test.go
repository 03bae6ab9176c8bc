package reports

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// kindOf makes a vehicle with one coated bonnet, in service for so many days on
// the day of the letters.
func kindOf(code string, age int, checkups ...study.Checkup) study.Vehicle {
	dry, warm, damp, layers := 24., 20., 50., 2
	applied := letterDay - study.Day(age) - 1
	v := study.Vehicle{ID: study.NewID(), Code: code, Enrolled: applied, Garage: study.Indoors}
	v.Patches = []study.Patch{{
		ID: study.NewID(), Code: "P1", Panel: "bonnet", Orientation: study.Horizontal, Substrate: study.Paint, Finish: study.Gloss,
		Applied: applied, Job: study.Job{Layers: &layers, KeepDryH: &dry, AirTempC: &warm, HumidityPct: &damp},
	}}
	for _, c := range checkups {
		c.ID = study.NewID()
		c.Day += v.Patches[0].InService()
		for i := range c.Readings {
			c.Readings[i].PatchID = v.Patches[0].ID
		}
		v.Checkups = append(v.Checkups, c)
		v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: c.Day, Kind: study.DeconWash})
	}
	return v
}

// on is a checkup on a day of service.
func on(day int, readings ...study.Reading) study.Checkup {
	return study.Checkup{Day: study.Day(day), Readings: readings}
}

func read(stage study.Stage, angle float64) study.Reading {
	return study.Reading{Stage: stage, AnglesDeg: []float64{angle - 1, angle, angle + 1}}
}

// letterKinds are vehicles of each kind that a letter may be about.
func letterKinds() []study.Vehicle {
	holding := kindOf("HOLDING", 300, on(20, read(study.Decon, 108)), on(120, read(study.Washed, 82), read(study.Decon, 105)), on(280, read(study.Decon, 102)))
	doubtful := kindOf("DOUBTFUL", 300, on(20, read(study.Decon, 108)), on(150, read(study.Decon, 101)), on(290, read(study.Washed, 78)))
	spent := kindOf("SPENT", 500, on(20, read(study.Decon, 106)), on(200, read(study.Decon, 95)), on(380, read(study.Decon, 84)), on(480, read(study.Decon, 79)))
	topped := kindOf("TOPPED", 300, on(20, read(study.Decon, 104)), on(140, read(study.Decon, 98)), on(280, read(study.Decon, 112)))
	topped.Care = append(topped.Care, study.Care{ID: study.NewID(), Day: letterDay - 100, Kind: study.Topper})
	fresh := kindOf("FRESH", 5)
	poor := kindOf("POOR", 400, on(390, study.Reading{Stage: study.Arrival, BeadGrade: new(4)}))
	poor.Garage, poor.Patches[0].Panel, poor.Patches[0].Job, poor.Patches[0].Substrate, poor.Care = "", "", study.Job{}, "", nil
	return []study.Vehicle{holding, doubtful, spent, topped, fresh, poor}
}

// TestLetterKinds: what each kind of vehicle is told, and not told.
func TestLetterKinds(t *testing.T) {
	letters := demoLetters(t, letterKinds()...)
	for vehicle, want := range map[string]struct{ says, saysNot []string }{
		"HOLDING": {[]string{
			"Yours still did when we last looked (12 March 2026).", "Repels water", "Last clean reading 102°, 12 March 2026",
			"Once a panel looked worn out and was fine after a deep wash (bonnet).", "lie in the shaded band", "kept indoors",
		}, []string{"Sun all day", "Nobody wrote down", "Decide if", "topper"}},
		"DOUBTFUL": {[]string{
			"Of one panel we are not sure yet.", "Not sure: dirt may hide it", "Now: deep wash, then a second reading",
			"Water did not bead at the last look (bonnet). That may be dirt.",
		}, []string{"We never saw dirt", "Expect the next decision", "worn out by now", "Decide if"}},
		"SPENT": {[]string{
			"Yours no longer does.", "No longer repels water", "Decide if you want these coated again: bonnet.", "Last clean reading 79°",
		}, []string{"Expect the next decision", "still did"}},
		"TOPPED": {[]string{
			"A topper lies on it.", "with a topper on top", "A topper was put on (22 December 2025).",
		}, []string{"Expect the next decision"}},
		"FRESH": {[]string{
			"Yours is still new.", "After 12 months", "We have not measured yours yet.", "Not measured yet", "No drop has been measured yet",
		}, []string{"Yours still did", "worn out below", "lie in the shaded band"}},
		"POOR": {[]string{
			"Nobody wrote down how warm it was that day, how damp the air was, how long it was kept dry and how many layers there are.",
			"No panel has been read after a deep wash yet.", "P1", "Looked at on 22 March 2026, but not measured", "No drop has been measured yet",
		}, []string{"kept indoors", "Expect the next decision"}},
	} {
		letter, err := letters.Of(context.Background(), vehicle)
		require.NoError(t, err)
		for _, language := range Languages() {
			var pdf bytes.Buffer
			require.NoError(t, letter.WritePDF(&pdf, LetterLook{Language: language, Paper: A4}))
			boxed(t, pdf.Bytes(), A4)
			if language != English {
				continue
			}
			text := oneLine(inColumns(t, pdf.Bytes()))
			for _, says := range want.says {
				assert.Contains(t, text, says, vehicle)
			}
			for _, not := range want.saysNot {
				assert.NotContains(t, text, not, vehicle)
			}
			assert.Contains(t, text, "This is an estimate, not a warranty.")
			assert.NotContains(t, text, "NaN")
		}
	}
}

// TestLetterTellsOfNobodyElse: no other vehicle's code, and no word of another's
// log, is in a letter.
func TestLetterTellsOfNobodyElse(t *testing.T) {
	kinds := letterKinds()
	for i := range kinds {
		kinds[i].Note, kinds[i].Patches[0].Note = "Frau Muster", "secret"
	}
	letters := demoLetters(t, kinds...)
	letter, err := letters.Of(context.Background(), "HOLDING")
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, letter.WriteHTML(&page, LetterLook{Language: English}))
	for _, v := range letters.now.Vehicles {
		if v.Code != "HOLDING" {
			assert.NotContains(t, page.String(), v.Code)
		}
	}
	for _, word := range []string{"Muster", "secret"} {
		assert.NotContains(t, page.String(), word, "notes are the shop's")
	}
}

// TestLetterNumbersAreTheReports: what a letter tells of others is what the table
// of life says, and of the vehicle what its outlook says.
func TestLetterNumbersAreTheReports(t *testing.T) {
	letters := demoLetters(t, letterKinds()...)
	ctx := context.Background()
	life, err := NewLife(ctx, letters.followed, letters.options.life())
	require.NoError(t, err)
	for _, vehicle := range []string{"Q002", "HOLDING"} {
		letter, err := letters.Of(ctx, vehicle)
		require.NoError(t, err)
		for _, c := range letter.Coats {
			row, found := life.Row(c.Row.Group)
			require.True(t, found)
			assert.Equal(t, row.Median, c.Row.Median)
			assert.Equal(t, row.Patches, c.Row.Patches)
			require.NotNil(t, c.At)
			assert.Contains(t, row.Curve.Points, *c.At)
		}
	}
}
