package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"beadspan/study"
)

// Jobs are counted by patch and care by record, each with its vehicles; that a
// first wash came too soon is told of both.
func TestPracticeOf(t *testing.T) {
	cold := study.Patch{ID: study.NewID(), Code: "A", Substrate: study.Film, Job: study.Job{AirTempC: new(5.0), DaysToFirstWash: new(2.0)}}
	fine := study.Patch{ID: study.NewID(), Code: "B", Substrate: study.Paint, Job: study.Job{AirTempC: new(20.0)}}
	one := &study.Vehicle{Patches: []study.Patch{cold, cold, fine}, Care: []study.Care{
		{Day: 2, Kind: study.MaintenanceWash}, {Day: 90, Kind: study.Clay}, {Day: 180, Kind: study.Clay}}}
	two := &study.Vehicle{Patches: []study.Patch{cold}}
	var coated []study.Followed
	for _, v := range []*study.Vehicle{one, two} {
		for i := range v.Patches {
			coated = append(coated, study.Followed{Vehicle: v, Patch: &v.Patches[i]})
		}
	}
	counts := practiceOf(coated)
	var got [][2]int
	for _, c := range counts {
		got = append(got, [2]int{c.Records, c.Vehicles})
	}
	assert.Equal(t, [][2]int{{3, 2}, {3, 2}, {1, 1}, {2, 1}}, got, "cold, washed early; a wash too early, clay")
	assert.Equal(t, [][]string{
		{counts[0].Why, "3 patches", "2"},
		{counts[1].Why, "3 patches", "2"},
		{counts[2].Why, "1 care record", "1"},
		{counts[3].Why, "2 care records", "1"},
	}, practiceTable(counts).Rows)
	assert.Equal(t, counts[1].Why, counts[2].Why)
	assert.Empty(t, practiceOf(nil))
}
