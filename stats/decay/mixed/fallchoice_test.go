package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/decay"
	"beadspan/stats/internal/check"
)

// Patches of drawnFalls fall from 110° to a floor, on average; a middling one has
// gone 1 − 1/e of the way after 300 days.
const drawnTau = 300.

// drawnFalls are readings of two patches of each vehicle, every two months for two
// and a half years, along stretched exponentials.
func drawnFalls(seed uint64, vehicles int, power, floor float64) (readings []Reading) {
	random := rand.New(rand.NewPCG(seed, 9))
	for v := range vehicles {
		vehicle := 0.2 * random.NormFloat64()
		for p := range 2 {
			τ := drawnTau * math.Exp(vehicle+0.15*random.NormFloat64())
			from, to := 110+1.6*random.NormFloat64(), floor+1.5*random.NormFloat64()
			for day := 60 * random.Float64(); day < 900; day += 40 + 40*random.Float64() {
				angle := to + (from-to)*math.Exp(-math.Pow(day/τ, power))
				readings = append(readings, Reading{Time: day, Value: angle + 2*random.NormFloat64(), Weight: 1, Outer: v, Inner: p})
			}
		}
	}
	return readings
}

// The shape that readings were drawn from is chosen, and its parameters and time
// to a threshold found within three of their errors.
func TestChooseFallFindsTheShape(t *testing.T) {
	for _, power := range []float64{0.6, 1.6} {
		t.Run(fmt.Sprint(power), func(t *testing.T) {
			choice, err := ChooseFall(drawnFalls(1, 60, power, 70), FallModel{Outer: true})
			require.NoError(t, err)
			require.Equal(t, decay.StretchedShape, choice.Shape)
			typical := choice.Fit.Typical(nil)
			for i, want := range []float64{70, 110, drawnTau, power} {
				got := typical.Parameters()[i]
				near(t, got.Name, got.Value, want, check.Tolerance{Abs: 3 * got.SE})
			}
			against := choice.Against()
			require.NotNil(t, against)
			assert.Equal(t, decay.ExponentialShape, against.Shape)
			assert.Greater(t, choice.Lead(against), 10.0)
			x, err := typical.TimeTo(90, 0.95)
			require.NoError(t, err)
			near(t, "time", x.Time, drawnTau*math.Pow(math.Log(2), 1/power), check.Tolerance{Abs: 3 * x.SE})
		})
	}
}

// Of readings from exponentials, stretching is taken for the truth in few fleets:
// twice the gain in log-likelihood is a χ² on one degree of freedom there, which
// is above 4, what two of AIC take, in 4.6 of 100 (tables of the distribution).
func TestChooseFallKeepsExponentials(t *testing.T) {
	stretched := 0
	for seed := range uint64(20) {
		choice, err := ChooseFall(drawnFalls(seed, 25, 1, 76), FallModel{Floor: new(76.), Outer: true})
		require.NoError(t, err)
		if choice.Shape == decay.StretchedShape {
			stretched++
		}
	}
	assert.LessOrEqual(t, stretched, 2, "three of 20 have a probability of 0.06 at most")
}

// However clearly they stretch: with so few vehicles it stays the exponential.
func TestChooseFallOfFewVehicles(t *testing.T) {
	choice, err := ChooseFall(drawnFalls(3, 8, 2, 70), FallModel{Outer: true})
	require.NoError(t, err)
	assert.Equal(t, decay.ExponentialShape, choice.Shape)
	require.NotNil(t, choice.Against(), "the other is told all the same")
	assert.Less(t, choice.Lead(choice.Against()), 0.0)
}

// A known floor is taken where the readings fall towards it, and not where they
// level off elsewhere.
func TestChooseFallOfFloors(t *testing.T) {
	choice, err := ChooseFall(drawnFalls(5, 40, 1, 76), FallModel{Floor: new(76.), Outer: true})
	require.NoError(t, err)
	assert.True(t, choice.FloorKnown)
	choice, err = ChooseFall(drawnFalls(5, 40, 1, 85), FallModel{Floor: new(76.), Outer: true})
	require.NoError(t, err)
	assert.False(t, choice.FloorKnown)
	floor := choice.Fit.Typical(nil).Parameters()[0]
	near(t, "floor", floor.Value, 85, check.Tolerance{Abs: 3 * floor.SE})
	require.NotNil(t, choice.AgainstFloor())
	assert.True(t, choice.AgainstFloor().FloorKnown)
	assert.Greater(t, choice.Lead(choice.AgainstFloor()), 0.0)
}

func TestChooseFallRefuses(t *testing.T) {
	along := func(angle func(day float64) float64) (readings []Reading) {
		random := rand.New(rand.NewPCG(1, 1))
		for v := range 10 {
			for day := 0.; day <= 400; day += 50 {
				readings = append(readings, Reading{Time: day, Value: angle(day) + random.NormFloat64(), Weight: 1, Outer: v})
			}
		}
		return readings
	}
	for name, c := range map[string]struct {
		readings []Reading
		want     error
	}{
		"nothing":  {nil, decay.ErrTooFew},
		"one day":  {along(func(float64) float64 { return 105 })[:1], decay.ErrTooFew},
		"rising":   {along(func(day float64) float64 { return 80 + day/20 }), ErrNotIdentified},
		"straight": {along(func(day float64) float64 { return 120 - day/6 }), ErrNoFloor},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ChooseFall(c.readings, FallModel{})
			assert.ErrorIs(t, err, c.want)
		})
	}
}
