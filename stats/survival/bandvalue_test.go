package survival

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
)

// Klein and Moeschberger, Survival Analysis (2nd ed. 2003), appendix C, print k
// to four places. Read from the copy of their tables in the R package km.ci 0.5-6.
func TestHallWellnerValueIsThePrinted(t *testing.T) {
	for _, c := range []struct{ level, a, b, want float64 }{
		{0.90, 0, 0.10, 0.5985},
		{0.90, 0, 0.98, 1.2239},
		{0.90, 0.10, 0.12, 0.6210},
		{0.90, 0.30, 0.32, 0.8685},
		{0.90, 0.60, 0.98, 1.0616},
		{0.95, 0, 0.10, 0.6825},
		{0.95, 0, 0.60, 1.3211},
		{0.95, 0, 1, 1.3581},
		{0.95, 0.10, 0.12, 0.7191},
		{0.95, 0.10, 0.60, 1.3211},
		{0.95, 0.18, 0.42, 1.2123},
		{0.95, 0.20, 0.22, 0.9049},
		{0.95, 0.24, 0.98, 1.3544},
	} {
		// The printed last place is at times off by one.
		assert.InDelta(t, c.want, hallWellnerValue(c.level, c.a, c.b), 1.5e-4, "%+v", c)
	}
}

// From 0 to 1 it is Kolmogorov's law, 1 − 2∑(−1)ʲ⁻¹ exp(−2j²k²).
func TestHallWellnerValueOfAllIsKolmogorovs(t *testing.T) {
	for _, level := range []float64{0.1, 0.5, 0.9, 0.99, 0.9999} {
		k := hallWellnerValue(level, 0, 1)
		chance := 1.0
		for j := 1.0; j < 100; j++ {
			chance += 2 * math.Pow(-1, j) * math.Exp(-2*j*j*k*k)
		}
		assert.InDelta(t, level, chance, 1e-8)
	}
}

// The same appendix prints c by Nair's approximation, good to 0.01 from T = 2 on
// (T of the range is 6.1, 4.4, 2.6, 4.0 and 2.6 here). The last is from memory.
func TestEqualPrecisionValueIsNearThePrinted(t *testing.T) {
	for _, c := range []struct{ level, a, b, want float64 }{
		{0.90, 0.10, 0.98, 2.9032},
		{0.90, 0.10, 0.90, 2.7844},
		{0.90, 0.10, 0.60, 2.5965},
		{0.90, 0.12, 0.88, 2.7487},
		{0.95, 0.10, 0.60, 2.8826},
	} {
		assert.InDelta(t, c.want, equalPrecisionValue(c.level, c.a, c.b), 0.01, "%+v", c)
		φ := distuv.UnitNormal.Prob(c.want)
		length := math.Log(c.b * (1 - c.a) / (c.a * (1 - c.b)))
		assert.InDelta(t, 1-c.level, φ*(4/c.want+(c.want-1/c.want)*length), 2e-4, "what is printed is Nair's %+v", c)
	}
}

// stays counts how often a naive simulation of the process stays within ±c. The
// chance of having crossed and come back between two times is that of a
// Brownian bridge.
func stays(c, length float64, seed uint64) float64 {
	const steps, runs = 100, 20_000
	draw := rand.New(rand.NewPCG(seed, 0))
	dt := length / steps
	keep := math.Exp(-dt / 2)
	shake := math.Sqrt(1 - keep*keep)
	chance := 0.0
	for range runs {
		x, stayed := draw.NormFloat64(), 1.0
		for range steps {
			y := keep*x + shake*draw.NormFloat64()
			if math.Abs(x) >= c || math.Abs(y) >= c {
				stayed = 0
				break
			}
			stayed *= 1 - math.Exp(-2*(c-x)*(c-y)/dt)
			stayed *= 1 - math.Exp(-2*(c+x)*(c+y)/dt)
			x = y
		}
		chance += stayed / runs
	}
	return chance
}

// A share of 20,000 scatters by 0.0028 at most where the level is 0.8.
func TestEqualPrecisionValueAgreesWithSimulation(t *testing.T) {
	for i, c := range []struct{ level, a, b float64 }{
		{0.8, 0.5, 0.52}, {0.8, 0.3, 0.6}, {0.9, 0.12, 0.14}, {0.95, 0.1, 0.6}, {0.95, 0.02, 0.9},
	} {
		value := equalPrecisionValue(c.level, c.a, c.b)
		length := math.Log(c.b * (1 - c.a) / (c.a * (1 - c.b)))
		assert.InDelta(t, c.level, stays(value, length, uint64(i)), 0.009, "%+v", c)
	}
}

// The values grow with the range and the level, and end somewhere for any.
func TestBandValuesGrow(t *testing.T) {
	for _, value := range []func(level, a, b float64) float64{hallWellnerValue, equalPrecisionValue} {
		last := 0.0
		for _, b := range []float64{0.4, 0.4000001, 0.45, 0.6, 0.9, 0.999, 1 - 1e-12} {
			c := value(0.95, 0.4, b)
			assert.GreaterOrEqual(t, c, last-1e-9)
			last = c
		}
		last = 0
		for _, level := range []float64{1e-9, 0.1, 0.5, 0.95, 0.9999, 1 - 1e-16} {
			c := value(level, 1e-300, 0.5)
			assert.Greater(t, c, last)
			last = c
		}
	}
}

// A bridge run backwards is a bridge. The last range is widened to the least, which
// is not done quite alike at both ends.
func TestBandValuesAreTheSameBackwards(t *testing.T) {
	for _, c := range [][2]float64{{0, 0.6}, {0.1, 0.12}, {0.02, 0.9}, {0, 0.001}, {1e-9, 2e-9}} {
		a, b := c[0], c[1]
		assert.InDelta(t, hallWellnerValue(0.95, a, b), hallWellnerValue(0.95, 1-b, 1-a), 1e-7, "%v", c)
		if a > 0 {
			assert.InDelta(t, equalPrecisionValue(0.95, a, b), equalPrecisionValue(0.95, 1-b, 1-a), 1e-6, "%v", c)
		}
	}
}
