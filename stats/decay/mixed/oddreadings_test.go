package mixed

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/decay"
)

// What cannot be told is refused by name, by the start or by the fit.
func TestReadingsThatTellNoFall(t *testing.T) {
	random := rand.New(rand.NewPCG(12, 21))
	fleetOf := func(value func(day float64) float64, day func(i int) float64) []Reading {
		var list []Reading
		for v := range 20 {
			for i := range 6 {
				list = append(list, Reading{Time: day(i), Value: value(day(i)), Weight: 1, Outer: v, Covariates: []float64{0, 0, 0, 0, 0, 0}})
			}
		}
		return list
	}
	spread := func(i int) float64 { return 60 * float64(i) }
	for name, readings := range map[string][]Reading{
		"constant": fleetOf(func(float64) float64 { return 100 }, spread),
		"rising":   fleetOf(func(day float64) float64 { return 90 + day/30 + random.NormFloat64() }, spread),
	} {
		_, err := ExponentialStart(readings, nil)
		require.ErrorIs(t, err, ErrNotIdentified, name)
		assert.ErrorContains(t, err, "fall", name)
	}
	oneDay := fleetOf(func(float64) float64 { return 100 + random.NormFloat64() }, func(int) float64 { return 30 })
	_, err := ExponentialStart(oneDay, nil)
	assert.ErrorIs(t, err, decay.ErrTooFew)
}

// Groups that are all below a threshold have come down to it for certain; two
// readings of each are enough.
func TestAllBelow(t *testing.T) {
	readings, _ := drawFleet(rand.New(rand.NewPCG(13, 22)), 40, 2)
	model := fleetModel
	model.Parameters = []Parameter{{Known: &truth.floor}, {}, {Log: true, Covariates: []int{0}, Outer: true, Inner: true}}
	model.Nodes = 1
	fit, err := Curves(readings, model)
	require.NoError(t, err)
	populations := fit.Draw(50, 1)
	o, err := populations.Outlook(1, 0, []float64{1}, OutlookOptions{Times: []float64{1, 500}, Threshold: 130, Level: 0.95})
	require.NoError(t, err)
	assert.Equal(t, 1., o.Points[0].Below)
	assert.Contains(t, o.Notes[0], "Only 2 readings")
	life, err := populations.Life(LifeOptions{Threshold: 130, Times: []float64{1, 500}, Level: 0.95})
	require.NoError(t, err)
	assert.Equal(t, LifeNumber{}, life.Median)
}
