package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// outlookYard is a drawn fleet with two more vehicles. X has a patch that falls
// with τ = 350 days, read for half a year, and one that was never read; Y one that
// was spent and one that was taken off.
func outlookYard() *yard {
	y := drawnYard(1, 60)
	random := rand.New(rand.NewPCG(9, 9))
	var half []clean
	for day := 0; day <= 180; day += 30 {
		half = append(half, clean{day, 76 + 34*math.Exp(-float64(day)/350) + 0.3*random.NormFloat64()})
	}
	x := y.vehicle("Cfb", "A", half...)
	x.Code = "X"
	y.patch(x, "A")
	v := y.vehicle("Cfb", "A", clean{10, 108}, clean{170, 80})
	v.Code = "Y"
	y.patch(v, "A", clean{10, 108}, clean{100, 100})
	v.Care = []study.Care{{ID: study.NewID(), Day: serviceBegan + 150, Kind: study.FilmReplaced, PatchID: &v.Patches[1].ID}}
	return y
}

func outlookOf(t *testing.T, y *yard, vehicle string, protocol study.Protocol) (*VehicleOutlook, error) {
	t.Helper()
	return NewVehicleOutlook(t.Context(), y.fleet.Follow(protocol), vehicle, serviceBegan+180, DecayOptions{Protocol: protocol, Level: 0.95, Seed: 1})
}

// TestOutlook: the patch with readings goes on as it was drawn, within limits; it
// comes down to 90° at 500 ln(34/14) = 444 days. Others get a reason or a note.
func TestOutlook(t *testing.T) {
	v, err := outlookOf(t, outlookYard(), "X", atOnce())
	require.NoError(t, err)
	require.Len(t, v.Patches, 2)
	read, unread := v.Patches[0], v.Patches[1]

	require.Len(t, read.Points, 13, "%s", read.Why)
	assert.Equal(t, 7, read.Readings)
	before := 0.0
	for i, at := range read.Points {
		day := float64(at.Day - serviceBegan)
		assert.InDelta(t, 180+float64(i)*study.DaysPerMonth, day, 0.51)
		truth := 76 + 34*math.Exp(-day/350)
		assert.Less(t, at.Limits.Low, truth)
		assert.Greater(t, at.Limits.High, truth)
		assert.Less(t, at.ReadingLimits.Low, at.Limits.Low)
		assert.Greater(t, at.ReadingLimits.High, at.Limits.High)
		assert.GreaterOrEqual(t, at.Below, before, "what has come down stays down")
		before = at.Below
	}
	assert.Less(t, read.Points[0].Below, 0.1, "at 96.3° the truth is far above")
	assert.Greater(t, before, 0.5)
	assert.Contains(t, read.Finding(90), "more likely than not below 90° by ")

	assert.Len(t, unread.Points, 13)
	assert.Zero(t, unread.Readings)
	assert.Contains(t, strings.Join(unread.Notes, " "), "No readings of its own")
	width := func(p PatchOutlook) float64 { return p.Points[6].Limits.High - p.Points[6].Limits.Low }
	assert.Greater(t, width(unread), 1.5*width(read), "what is not read is less known")

	v, err = outlookOf(t, outlookYard(), "Y", atOnce())
	require.NoError(t, err)
	spent, gone := v.Patches[0], v.Patches[1]
	assert.Equal(t, "It was spent by "+(serviceBegan+170).String()+".", spent.Why)
	assert.Contains(t, gone.Why, "taken off or covered")
	assert.Empty(t, spent.Points)
}

func TestOutlookRefuses(t *testing.T) {
	y := outlookYard()
	_, err := outlookOf(t, y, "nobody", atOnce())
	assert.ErrorIs(t, err, study.ErrNotFound)
	p := atOnce()
	p.Metric, p.Threshold = study.SheetTime, 30
	_, err = outlookOf(t, y, "X", p)
	assert.ErrorIs(t, err, ErrOptions)

	few := newYard()
	few.vehicle("Cfb", "A", falling(76, 100)...)
	v, err := outlookOf(t, few, "V1", atOnce())
	require.NoError(t, err)
	assert.Contains(t, v.Patches[0].Why, "clean readings of 1 vehicle are too few; it takes 5")
}

// TestOutlookWritten reads text and JSON as people and programs would.
func TestOutlookWritten(t *testing.T) {
	var machine bytes.Buffer
	var text strings.Builder
	for _, vehicle := range []string{"Y", "X"} {
		v, err := outlookOf(t, outlookYard(), vehicle, atOnce())
		require.NoError(t, err)
		require.NoError(t, v.WriteText(&text))
		machine.Reset()
		require.NoError(t, v.WriteJSON(&machine))
	}
	assert.Contains(t, text.String(), "P1 (A): no outlook. It was spent by")
	assert.Contains(t, strings.Join(strings.Fields(text.String()), " "), "not a warranty")
	for _, never := range []string{"NaN", "Inf", "group", "after time", " 100 %", "  0 %"} {
		assert.NotContains(t, text.String(), never)
	}
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
	var got struct {
		Vehicle string
		Patches []struct {
			Why     *string `json:"no_outlook_because"`
			Outlook []map[string]any
		}
	}
	require.NoError(t, json.Unmarshal(machine.Bytes(), &got))
	assert.Equal(t, "X", got.Vehicle)
	require.Len(t, got.Patches, 2)
	assert.Nil(t, got.Patches[0].Why)
	require.Len(t, got.Patches[0].Outlook, 13)
	assert.Contains(t, got.Patches[0].Outlook[0], "probability_below_threshold")
}

// TestOutlookTakesNoPassForSure: a patch that reads about 90° may have passed by
// chance; its last pass is one reading among the others.
func TestOutlookTakesNoPassForSure(t *testing.T) {
	y := drawnYard(1, 60)
	v := y.vehicle("Cfb", "A", clean{30, 107}, clean{130, 98}, clean{230, 90.5}, clean{240, 89.5}, clean{250, 89}, clean{260, 90.2})
	p := atOnce()
	p.Confirm = 3 // two fails in between don't count
	outlook, err := NewVehicleOutlook(t.Context(), y.fleet.Follow(p), v.Code, serviceBegan+260, DecayOptions{Protocol: p, Level: 0.95, Seed: 1})
	require.NoError(t, err)
	points := outlook.Patches[0].Points
	require.NotEmpty(t, points, outlook.Patches[0].Why)
	assert.Greater(t, points[0].Below, 0.05, "it may be below in spite of the pass on that day")
	assert.Less(t, points[0].Below, 0.95)
	assert.Contains(t, outlook.Patches[0].Notes, "It was last seen holding on "+(serviceBegan+260).String()+
		". A reading that passes may do so by chance, so this is no certainty here; all clean readings count together.")
	assert.Greater(t, points[2].Below, 0.5, "two months on it has likely come down")
}
