package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/agreement"
	"beadspan/study"
)

// qualityYard is one coated patch, read on four days by two operators.
func qualityYard() *yard {
	y := newYard()
	v := y.vehicle("Cfb", "A", clean{40, 100}, clean{70, 101}, clean{160, 94}, clean{250, 95})
	y.fleet.People = []study.Person{{ID: study.NewID(), Code: "KW"}, {ID: study.NewID(), Code: "AB"}}
	for i, who := range []int{0, 1, 0} {
		v.Checkups[i].OperatorID = &y.fleet.People[who].ID
	}
	v.Checkups[0].Readings[0].AnglesDeg = []float64{98, 100, 102} // SD 2
	v.Checkups[1].Readings[0].AnglesDeg = []float64{110.5, 91.5}  // SD 19/√2 = 13.4
	v.Checkups[3].Readings = append(v.Checkups[3].Readings, study.Reading{PatchID: v.Patches[0].ID, Stage: study.Arrival, SheetTimeS: new(9.)},
		study.Reading{PatchID: v.Patches[0].ID, Stage: study.Washed, AnglesDeg: []float64{95}})
	return y
}

func TestQualityByHand(t *testing.T) {
	y := qualityYard()
	q := newQuality(&y.fleet, y.follow(), atOnce())
	assert.Equal(t, []int{4, 1, 6, 1}, []int{q.Checkups, q.NoOperator, q.Readings, q.WithoutMetric})
	assert.Equal(t, 1, q.ReadLate, "on day 40")
	assert.Equal(t, []StageVisits{{[]study.Stage{study.Washed, study.Decon}, 1}, {[]study.Stage{study.Decon}, 3}}, q.Stages)
	assert.Equal(t, []GapCount{{30, 1}, {60, 0}, {90, 2}, {120, 0}, {180, 0}, {365, 0}, {0, 0}}, q.Gaps)
	require.NotNil(t, q.MedianGap)
	assert.Equal(t, []float64{90, 90}, []float64{*q.MedianGap, *q.LongestGap})
	assert.Equal(t, []int{1, 3, 1, 1}, q.Drops[:4])
	assert.Equal(t, 1, q.Wide)
	assert.Equal(t, 3, q.Repeatability.DF)
	// ((2² + 0 + 2²) + 19²/2) / 3
	assert.InDelta(t, (8+180.5)/3, q.Repeatability.SD*q.Repeatability.SD, 1e-9)

	require.Len(t, q.Operators, 2)
	ab, kw := q.Operators[0], q.Operators[1]
	assert.Equal(t, "AB", ab.Code)
	assert.Equal(t, 2, kw.Checkups)
	assert.Equal(t, 4, kw.Drops)
	assert.Equal(t, 1, ab.Drops-1)
	// AB read 101 on day 70, between 100 on day 40 and 94 on day 160 by KW: the
	// line passes through 98.5 there.
	assert.Equal(t, &agreement.Offset{Mean: 2.5, N: 1}, ab.Offset)
	assert.Nil(t, kw.Offset)

	assert.Equal(t, Digits{Angles: 8, Whole: 6, Last: [10]int{0: 1, 2: 1, 4: 1, 5: 2, 8: 1}}, q.Digits)
	assert.Equal(t, 3, q.Digits.Round())
}

// Of nothing there is nothing to say, and no sentence with a gap in it.
func TestQualityOfNothing(t *testing.T) {
	y := newYard()
	q := newQuality(&y.fleet, y.follow(), atOnce())
	assert.Nil(t, q.MedianGap)
	r := &Report{Quality: q}
	for _, part := range r.qualitySection().Parts {
		assert.NotContains(t, part.Text, "NaN")
	}
}
