package web

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// The page says how each panel stands and why, and draws what was read.
func TestVehiclePage(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	b := x.as(t, "kw")
	holds := b.settled("/studies/S1/vehicles/V001")
	require.Equal(t, http.StatusOK, holds.status)
	assert.Contains(t, holds.body, "The last proof that it held is of 1 Apr 2025.")
	assert.Contains(t, holds.body, `aria-label="1 Mar 2025, Washed: 104.2 °, passes"`, "the mean of 104, 103 and 105.5 is 104.17")
	assert.Contains(t, holds.body, `aria-label="1 Apr 2025: Maintenance wash"`)
	assert.NotContains(t, holds.body, ` style="`)
	assert.Equal(t, 2, strings.Count(holds.body, `tabindex="0" role="img"`), "each drawing, for desk and phone, is one stop")
	assert.Contains(t, holds.body, "Too little is known to say when", "of a fleet in which one panel was spent")

	assert.Contains(t, b.settled("/studies/S1/vehicles/V002").body, "perhaps only under traffic film")
	spent := b.settled("/studies/S1/vehicles/V003").body
	assert.Contains(t, spent, "It failed clean on 1 Mar 2025, and was never seen holding before")
	assert.Contains(t, spent, "2 such fails in a row count.")
}

// Job conditions are shown, with warnings where they leave common practice.
func TestVehicleJob(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.steward(t, "kw")
	f := x.fleet
	v := f.Vehicles[0]
	v.ID, v.Code, v.Checkups, v.Care = study.NewID(), "COLD", nil, nil
	v.Patches = []study.Patch{v.Patches[0]}
	v.Patches[0].ID = study.NewID()
	v.Patches[0].Job = study.Job{AirTempC: new(4.5), Layers: new(2)}
	v.Care = []study.Care{{ID: study.NewID(), Day: v.Patches[0].Applied + 2, Kind: study.MaintenanceWash}}
	f.Vehicles = []study.Vehicle{v}
	_, err := x.db.Load(t.Context(), x.study.ID, f, nil)
	require.NoError(t, err)
	body := x.as(t, "kw").settled("/studies/S1/vehicles/COLD").body
	assert.Contains(t, body, "<dd>4.5 °C</dd>")
	assert.Contains(t, body, "in the cold a coating cures slowly")
	assert.Contains(t, body, "no wash for 7 days is usual")
	assert.Contains(t, body, "no reading yet")
}

// What may be expected of a panel comes from what others did: A is spent on all
// vehicles between day 300 and 330, and one more vehicle with A at an age of 200
// days has until then.
func TestVehicleAhead(t *testing.T) {
	t.Parallel()
	x := compared(t)
	f := twoCoatings()
	st, err := x.db.StudyByCode(t.Context(), "S2")
	require.NoError(t, err)
	v := f.Vehicles[0]
	v.ID, v.Code = study.NewID(), "YOUNG"
	v.Enrolled = x.today() - 200
	patch := v.Patches[0]
	patch.ID, patch.Applied = study.NewID(), v.Enrolled
	v.Patches = []study.Patch{patch}
	v.Checkups = []study.Checkup{{ID: study.NewID(), Day: v.Enrolled + 180,
		Readings: []study.Reading{{PatchID: patch.ID, Stage: study.Decon, AnglesDeg: []float64{105}}}}}
	f.Vehicles = []study.Vehicle{v}
	_, err = x.db.Load(t.Context(), st.ID, f, nil)
	require.NoError(t, err)
	body := x.as(t, "kw").settled("/studies/S2/vehicles/YOUNG").body
	// Its service began on 14 November 2024: day 300 is 10 September, day 330
	// 10 October.
	assert.Regexp(t, `From (1\d|2\d|30) Sep 2025 on it is more likely spent than not|From \d Oct 2025 on it is more likely`, body)
	assert.Contains(t, body, "A durability figure is an estimate, never a warranty.")
	assert.Contains(t, body, "Half of A, Cfb’s patches were spent by")
}

// A timeline of another metric, of one reading, and of one far back has marks
// within its frame.
func TestTimelineOfOddRecords(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		protocol study.Protocol
		reading  study.Reading
		today    study.Day
	}{
		"sheet time": {study.Protocol{Metric: study.SheetTime, Threshold: 20, Confirm: 1}, study.Reading{Stage: study.Decon, SheetTimeS: new(3600.0)}, 400},
		"grade":      {study.Protocol{Metric: study.BeadGrade, Threshold: 3, Confirm: 1}, study.Reading{Stage: study.Washed, BeadGrade: new(3)}, 1},
		"no value":   {study.DefaultProtocol(), study.Reading{Stage: study.Decon, BeadGrade: new(3)}, 400},
		"flat":       {study.DefaultProtocol(), study.Reading{Stage: study.Decon, AnglesDeg: []float64{90}}, 40_000},
	} {
		patch := study.Patch{ID: study.NewID(), Code: "A", Panel: `"roof" <b>`}
		c.reading.PatchID = patch.ID
		v := study.Vehicle{Patches: []study.Patch{patch}, Checkups: []study.Checkup{{Day: 0, Readings: []study.Reading{c.reading}}}}
		line := newPatchStory(languages[0], c.protocol, study.Followed{Vehicle: &v, Patch: &v.Patches[0]}, c.today)
		drawn := string(line.Wide)
		assert.NotContains(t, drawn, "NaN", name)
		assert.NotContains(t, drawn, "Inf", name)
		assert.NotContains(t, drawn, "<b>", name)
		assert.Less(t, len(drawn), 20_000, name)
	}
}
