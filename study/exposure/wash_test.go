package exposure

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"beadspan/study"
)

func TestWashes(t *testing.T) {
	may := func(day int) study.Day { return study.DayOf(2024, 5, day) }
	other := study.NewID()
	v, p := washed(
		study.Care{Day: may(2), Kind: study.MaintenanceWash},                        // before service
		study.Care{Day: may(10), Kind: study.MaintenanceWash},                       // 1
		study.Care{Day: may(10), Kind: study.DeconWash},                             // 2
		study.Care{Day: may(20), Kind: study.MaintenanceWash},                       // 3
		study.Care{Day: may(20), Kind: study.MaintenanceWash},                       // written twice
		study.Care{Day: may(21), Kind: study.DeconWash, PatchID: &other},            // not here
		study.Care{Day: may(22), Kind: study.DeconWash},                             // 4
		study.Care{Day: may(22), Kind: study.IronRemover},                           // part of it
		study.Care{Day: may(23), Kind: study.Clay},                                  // no wash
		study.Care{Day: study.DayOf(2024, 8, 20), Kind: study.Polish, PatchID: nil}, // the last sight
	)
	v.Checkups = []study.Checkup{
		{Day: may(20), Readings: []study.Reading{{PatchID: p.ID, Stage: study.Washed}}},                                       // logged above
		{Day: may(30), Readings: []study.Reading{{PatchID: p.ID, Stage: study.Arrival}, {PatchID: p.ID, Stage: study.Decon}}}, // 5
		{Day: may(31), Readings: []study.Reading{{PatchID: other, Stage: study.Decon}}},
	}
	e := newTestSite(t, winters()).Patch(v, p, DefaultShelter())
	for _, c := range []struct {
		from, to study.Day
		want     float64
	}{
		{may(3), may(9), 0}, {may(3), may(10), 2}, {may(10), may(20), 1}, {may(9), may(30), 5}, {may(30), may(31), 0},
		{may(1), may(31), 5},
	} {
		assert.Equal(t, c.want, *e.Between(c.from, c.to).Washes, "%v to %v", c.from, c.to)
	}
	// From 3 May to 20 August there are 109 days.
	assert.InDelta(t, 5.0/109*365.25, *e.Yearly().Washes, 1e-9)

	// What was washed before enrolment isn't known.
	v.Enrolled = may(15)
	e = newTestSite(t, winters()).Patch(v, p, DefaultShelter())
	assert.Nil(t, e.Between(may(10), may(31)).Washes)
	assert.Equal(t, 3.0, *e.Between(may(15), may(31)).Washes)
	_, known := e.Since(Washes, 20)
	assert.False(t, known)
	assert.Contains(t, e.Why(Washes), "enrolled after")

	// Of a short time no yearly number is told.
	v.Enrolled = may(30)
	e = newTestSite(t, winters()).Patch(v, p, DefaultShelter())
	assert.Nil(t, e.Yearly().Washes)
}
