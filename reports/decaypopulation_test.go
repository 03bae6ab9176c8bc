package reports

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/study"
)

// What the vehicles of drawnYard vary by: patches fall from 110° towards the
// controls' 76° with a median τ of 300 days.
const (
	drawnStart, drawnFloor, drawnTau = 110.0, 76.0, 300.0
	drawnVehicleSD, drawnPatchSD     = 0.20, 0.15 // of log τ
	drawnError                       = 2.0        // degrees
)

// drawnYard is a fleet of coating A with two patches on each vehicle, read clean
// every two months for two years.
func drawnYard(seed uint64, vehicles int) *yard {
	random := rand.New(rand.NewPCG(seed, 3))
	y := newYard()
	for i := range vehicles {
		pace := drawnVehicleSD * random.NormFloat64()
		v := y.vehicle("Cfb", "A", drawnReadings(random, pace)...)
		y.patch(v, "A", drawnReadings(random, pace)...)
		if i%10 == 0 {
			y.patch(v, "BARE", clean{20, drawnFloor})
		}
	}
	return y
}

func drawnReadings(random *rand.Rand, pace float64) []clean {
	tau := drawnTau * math.Exp(pace+drawnPatchSD*random.NormFloat64())
	var readings []clean
	for day := 0; day <= 730; day += 55 + random.IntN(11) {
		angle := drawnFloor + (drawnStart-drawnFloor)*math.Exp(-float64(day)/tau) + drawnError*random.NormFloat64()
		readings = append(readings, clean{day, angle})
	}
	return readings
}

func decaysOf(t *testing.T, y *yard) []Decay {
	t.Helper()
	decays, err := NewDecays(t.Context(), y.follow(), nil, DecayOptions{Protocol: atOnce(), Level: 0.95, Seed: 1})
	require.NoError(t, err)
	return decays
}

// TestPopulationIsTheOneDrawn: the model finds what the fleet was drawn from. A
// patch comes down to 90° at τ ln(34/14), so that lives are lognormal, with the
// standard deviation of log τ:
//
//	S(t) = Φ(log(300 ln(34/14)/t) / √(0.20² + 0.15²))
func TestPopulationIsTheOneDrawn(t *testing.T) {
	d := decaysOf(t, drawnYard(1, 120))[0]
	p := d.Population
	require.NotNil(t, p, d.Unmodelled)
	assert.True(t, p.FloorKnown)
	assert.Equal(t, drawnFloor, p.Floor.Value)
	assert.Zero(t, p.Floor.SE)
	assert.InDelta(t, drawnStart, p.Start.Value, 3*p.Start.SE)
	assert.InDelta(t, drawnTau, p.Tau.Value, 3*p.Tau.SE)
	assert.Less(t, p.Tau.SE, 10.0)
	require.NotNil(t, p.VehicleSD)
	assert.InDelta(t, drawnVehicleSD, *p.VehicleSD, 0.05)
	assert.InDelta(t, drawnPatchSD, p.PatchSD, 0.04)
	assert.InDelta(t, drawnError, p.ReadingSD, 0.1)
	assert.Equal(t, [3]int{120, 240, len(d.Readings)}, [3]int{p.Vehicles, p.Patches, p.Readings})

	sd := math.Hypot(drawnVehicleSD, drawnPatchSD)
	median := drawnTau * math.Log(34.0/14)
	for _, share := range p.Life.Points[1:] {
		want := distuv.UnitNormal.CDF(math.Log(median/(share.Months*study.DaysPerMonth)) / sd)
		assert.InDelta(t, want, share.Share, 0.06, "month %g", share.Months)
	}
	// The mean log τ of so many vehicles is known to one in fifty: that far apart
	// estimates may be, and that wide limits are, with a little for the readings.
	se := math.Sqrt((square(drawnVehicleSD) + square(drawnPatchSD)/2) / 120)
	life := p.Life
	for _, months := range []float64{life.Median.Months, p.Crossing.Time / study.DaysPerMonth} {
		assert.InDelta(t, math.Log(median/study.DaysPerMonth), math.Log(months), 3*se)
	}
	for _, l := range []Limits{life.Median.Limits, *d.CrossingLimits()} {
		assert.InEpsilon(t, 2*1.96*se, math.Log(l.High/l.Low), 0.3)
	}
	assert.InEpsilon(t, median*math.Exp(-sd*distuv.UnitNormal.Quantile(0.9))/study.DaysPerMonth, life.Tenth, 0.06)
	assert.InEpsilon(t, median*math.Exp(sd*distuv.UnitNormal.Quantile(0.9))/study.DaysPerMonth, life.NineTenths, 0.06)
}

// TestSpreadHoldsReadings: of the readings, 95 % lie where the pale band says.
func TestSpreadHoldsReadings(t *testing.T) {
	d := decaysOf(t, drawnYard(2, 100))[0]
	p := d.Population
	held := 0
	for _, r := range d.Readings {
		half := 2 * r.Days / study.DaysPerMonth
		i := min(int(half), len(p.Spread)-2)
		between := func(a, b float64) float64 { return a + (b-a)*(half-float64(i)) }
		held += one(r.AngleDeg > between(p.Spread[i].Low, p.Spread[i+1].Low) && r.AngleDeg < between(p.Spread[i].High, p.Spread[i+1].High))
	}
	assert.InDelta(t, 0.95, float64(held)/float64(len(d.Readings)), 0.025)
}

// TestOnePatchEach: without two patches on any vehicle there is one spread, of
// both kinds together.
func TestOnePatchEach(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	y := newYard()
	for range 160 {
		y.vehicle("Cfb", "A", drawnReadings(random, drawnVehicleSD*random.NormFloat64())...)
	}
	p := decaysOf(t, y)[0].Population
	require.NotNil(t, p)
	assert.Nil(t, p.VehicleSD)
	assert.InDelta(t, math.Hypot(drawnVehicleSD, drawnPatchSD), p.PatchSD, 0.06)
	assert.False(t, p.FloorKnown, "there is no control")
	assert.InDelta(t, drawnFloor, p.Floor.Value, 3*p.Floor.SE)
}

// TestPopulationWithItsOwnFloor: readings that level off far above the controls
// are not bent down to them.
func TestPopulationWithItsOwnFloor(t *testing.T) {
	y := newYard()
	random := rand.New(rand.NewPCG(1, 1))
	for range 30 {
		y.vehicle("Cfb", "A", shifted(falling(85, 900), random.NormFloat64())...)
	}
	y.vehicle("Cfb", "BARE", clean{10, 60})
	p := decaysOf(t, y)[0].Population
	require.NotNil(t, p)
	assert.False(t, p.FloorKnown)
	assert.InDelta(t, 85, p.Floor.Value, 1)
	assert.Contains(t, p.Notes[0], "towards the uncoated panels (60°)")
}

// TestNoPopulation: where the model isn't estimable, the reason is plain and the
// curve through all readings is still told.
func TestNoPopulation(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	straight := func(perDay float64) *yard {
		y := newYard()
		for range 10 {
			var readings []clean
			for day := 0; day <= 400; day += 50 {
				readings = append(readings, clean{day, 105 - perDay*float64(day) + random.NormFloat64()})
			}
			y.vehicle("Cfb", "A", readings...)
		}
		return y
	}
	few := newYard()
	for range leastModelled - 1 {
		few.vehicle("Cfb", "A", falling(76, 300)...)
	}
	single := newYard()
	for range 10 {
		single.vehicle("Cfb", "A", clean{10, 105})
	}
	for name, c := range map[string]struct {
		yard *yard
		says string
	}{
		"few vehicles": {few, "clean readings of 4 vehicles are too few; it takes 5"},
		"one day":      {single, "too few clean readings, or too few at different times"},
		"rising":       {straight(-0.02), "show no fall"},
	} {
		t.Run(name, func(t *testing.T) {
			d := decaysOf(t, c.yard)[0]
			assert.Nil(t, d.Population)
			assert.Contains(t, d.Unmodelled, c.says)
			assert.Contains(t, d.ShownNotes()[0], c.says)
			assert.NotContains(t, d.Finding(), "typical patch")
		})
	}
	t.Run("straight", func(t *testing.T) {
		d := decaysOf(t, straight(0.05))[0]
		if d.Population == nil {
			assert.NotEmpty(t, d.Unmodelled)
			return
		}
		assert.GreaterOrEqual(t, d.Population.Floor.Value, 0.0, "no angle is below 0°")
	})
}

// TestPickedVehicles: as many as asked for, and of each stretch of the records
// its share.
func TestPickedVehicles(t *testing.T) {
	for _, n := range []int{1, 7, mostModelled, mostModelled + 1, 2345, 16_000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			var readings []CleanReading
			for v := range n {
				readings = append(readings, CleanReading{vehicle: v}, CleanReading{vehicle: v})
			}
			picked := pickedVehicles(readings, mostModelled)
			require.Len(t, picked, min(n, mostModelled))
			firstHalf := 0
			for v := range picked {
				firstHalf += one(v < n/2)
			}
			assert.InDelta(t, float64(len(picked))/2, float64(firstHalf), 1)
		})
	}
}

// TestVehicleIsModelled: the vehicle that somebody asks for is always in.
func TestVehicleIsModelled(t *testing.T) {
	y := newYard()
	for i := range mostModelled + 50 {
		y.vehicle("Cfb", "A", clean{10, 105 + float64(i%3)})
	}
	decays, err := newDecays(t.Context(), y.follow(), atOnce(), 0.95)
	require.NoError(t, err)
	d := decays[0]
	assert.Len(t, d.modelled(""), mostModelled)
	in := 0
	for i := range mostModelled + 50 {
		in += len(d.modelled(fmt.Sprintf("V%d", i+1))) - mostModelled
	}
	assert.Equal(t, 50, in, "each of those left out comes in when asked for")
}
