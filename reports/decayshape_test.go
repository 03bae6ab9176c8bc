package reports

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/decay"
	"beadspan/study"
)

// stretchedYard is a fleet whose patches fall as those of drawnYard, but stretched
// in time by a power.
func stretchedYard(seed uint64, vehicles int, power float64) *yard {
	random := rand.New(rand.NewPCG(seed, 4))
	y := newYard()
	for i := range vehicles {
		vehicle := drawnVehicleSD * random.NormFloat64()
		read := func() (readings []clean) {
			tau := drawnTau * math.Exp(vehicle+drawnPatchSD*random.NormFloat64())
			for day := random.IntN(50); day <= 900; day += 55 + random.IntN(11) {
				left := math.Exp(-math.Pow(float64(day)/tau, power))
				readings = append(readings, clean{day, drawnFloor + (drawnStart-drawnFloor)*left + drawnError*random.NormFloat64()})
			}
			return readings
		}
		v := y.vehicle("Cfb", "A", read()...)
		y.patch(v, "A", read()...)
		if i%10 == 0 {
			y.patch(v, "BARE", clean{20, drawnFloor})
		}
	}
	return y
}

// TestShapeIsTheOneDrawn: where falls set in slowly, all that hangs on the curve
// follows the stretched shape. A middling patch comes down to 90° at
// τ log(34/14)^(1/k).
func TestShapeIsTheOneDrawn(t *testing.T) {
	const power = 1.5
	d := decaysOf(t, stretchedYard(1, 60, power))[0]
	p := d.Population
	require.NotNil(t, p, d.Unmodelled)
	require.Equal(t, decay.StretchedShape, p.Shape)
	require.NotNil(t, p.Power)
	assert.InDelta(t, power, p.Power.Value, 3*p.Power.SE)
	assert.InDelta(t, drawnStart, p.Start.Value, 3*p.Start.SE)
	assert.InDelta(t, drawnTau, p.Tau.Value, 3*p.Tau.SE)

	middle := drawnTau * math.Pow(math.Log(34./14), 1/power) / study.DaysPerMonth
	se := math.Sqrt((square(drawnVehicleSD) + square(drawnPatchSD)/2) / 60)
	for what, months := range map[string]float64{"typical": p.Crossing.Time / study.DaysPerMonth, "life": p.Life.Median.Months} {
		assert.InDelta(t, math.Log(middle), math.Log(months), 3*se, what)
	}
	at := p.Mean[2*6] // half a year
	left := math.Exp(-math.Pow(at.Months*study.DaysPerMonth/drawnTau, power))
	assert.InDelta(t, drawnFloor+(drawnStart-drawnFloor)*left, at.AngleDeg, 2)

	require.NotNil(t, p.Rival)
	assert.Equal(t, decay.ExponentialShape, p.Rival.Shape)
	assert.Greater(t, p.Rival.AICAbove, 10.0)
	notes := strings.Join(p.Notes, " ")
	assert.Contains(t, notes, "stretched in time, setting in slowly (power 1.")
	assert.Contains(t, notes, "than that of an exponential, by which the typical patch would come down to 90° at")
}

// TestShapeOfFew: eight vehicles are too few to leave the exponential for, however
// much better the other fits, and that is told.
func TestShapeOfFew(t *testing.T) {
	d := decaysOf(t, stretchedYard(2, 8, 2.5))[0]
	p := d.Population
	require.NotNil(t, p, d.Unmodelled)
	assert.Equal(t, decay.ExponentialShape, p.Shape)
	assert.Nil(t, p.Power)
	require.NotNil(t, p.Rival)
	assert.Less(t, p.Rival.AICAbove, 0.0)
	assert.Contains(t, strings.Join(p.Notes, " "), "too little with 8 vehicles to leave the simpler shape for; by it the typical patch would come down to 90° at")
}

// TestShapeInJSONAndTable: machines and readers are told the shape.
func TestShapeInJSONAndTable(t *testing.T) {
	all := Decays(decaysOf(t, stretchedYard(1, 40, 1.5)))
	r := all[0].record().Population
	assert.Equal(t, "stretched", r.Shape)
	require.NotNil(t, r.Power)
	require.NotNil(t, r.Rival)
	assert.Equal(t, "exponential", r.Rival.Shape)
	assert.NotNil(t, r.Rival.Months)
	assert.Contains(t, all.typicalTable().Rows[0][1], "stretched, power 1.")
}
