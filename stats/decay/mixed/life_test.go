package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/internal/check"
)

// ofLogTau is a model in which groups differ in log τ alone, so that lives are
// log-normal around the typical crossing, with the spread of log τ.
func ofLogTau() CurveModel {
	model := fleetModel
	model.Parameters = []Parameter{{}, {}, {Log: true, Covariates: []int{0}, Outer: true, Inner: true}}
	return model
}

func TestLifeIsLogNormal(t *testing.T) {
	fit, _ := fittedFleet(t, 40, ofLogTau())
	life, err := fit.Draw(10, 1).Life(LifeOptions{
		Threshold: 80, Times: []float64{0, 100, 150, 200, 300, 400}, Level: 0.95,
		Mix: []Kind{{[]float64{0}, 3}, {[]float64{1}, 1}}, Groups: 20_000,
	})
	require.NoError(t, err)
	spread := math.Hypot(fit.Outer.SD(0), fit.Inner.SD(0))
	var want [2]distuv.LogNormal
	for kind := range want {
		typical, err := fit.Typical([]float64{float64(kind)}).TimeTo(80, 0.95)
		require.NoError(t, err)
		want[kind] = distuv.LogNormal{Mu: math.Log(typical.Time), Sigma: spread}
	}
	above := func(time float64) float64 { return 0.75*want[0].Survival(time) + 0.25*want[1].Survival(time) }
	for _, p := range life.Points[1:] {
		near(t, "share above", p.Above, above(p.Time), check.Tolerance{Abs: 0.004}) // of 2000 even points
		assert.LessOrEqual(t, p.Lower, p.Above)
		assert.GreaterOrEqual(t, p.Upper, p.Above)
	}
	assert.Equal(t, LifePoint{0, 1, 1, 1}, life.Points[0])
	near(t, "at the median", above(life.Median.Value), 0.5, check.Tolerance{Abs: 0.004})
	mean := 0.0
	for time := 0.5; time < 400; time++ {
		mean += above(time)
	}
	near(t, "mean up to 400", life.Mean.Value, mean, check.Tolerance{Rel: 0.003})
}

// Lives that are not over by the last time asked for have no median; a mix of
// groups that begin below the threshold has a life of 0.
func TestLifeAtTheEnds(t *testing.T) {
	fit, _ := fittedFleet(t, 12, fleetModel)
	populations := fit.Draw(20, 1)
	life, err := populations.Life(LifeOptions{Threshold: 80, Times: []float64{30, 60}, Level: 0.9})
	require.NoError(t, err)
	assert.Equal(t, math.Inf(1), life.Median.Value)
	assert.Contains(t, life.Notes[0], "no median")
	assert.Contains(t, life.Notes[1], "Only 12 groups")
	life, err = populations.Life(LifeOptions{Threshold: 170, Times: []float64{30, 60}, Level: 0.9})
	require.NoError(t, err)
	assert.Equal(t, LifePoint{30, 0, 0, 0}, life.Points[0])
	assert.Equal(t, LifeNumber{}, life.Mean)

	for name, ask := range map[string]LifeOptions{
		"level":     {Threshold: 80, Times: []float64{1}, Level: 1},
		"ascending": {Threshold: 80, Times: []float64{2, 1}, Level: 0.9},
		"above 0":   {Threshold: 80, Times: []float64{0}, Level: 0.9},
		"threshold": {Threshold: math.NaN(), Times: []float64{1}, Level: 0.9},
		"share -1":  {Threshold: 80, Times: []float64{1}, Level: 0.9, Mix: []Kind{{[]float64{0}, -1}}},
		"no shares": {Threshold: 80, Times: []float64{1}, Level: 0.9, Mix: []Kind{}},
	} {
		_, err := populations.Life(ask)
		assert.ErrorContains(t, err, name)
	}
}
