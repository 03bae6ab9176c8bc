package climate

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestDiffuseFraction works Erbs' two polynomials out by hand at one clearness
// and holds them within a share's bounds everywhere.
func TestDiffuseFraction(t *testing.T) {
	assert.InDelta(t, 1.391-1.780+1.04725-0.267125, DiffuseFraction(0.5, radians(80)), 1e-12)
	assert.InDelta(t, 1.311-1.511+0.85675-0.227625, DiffuseFraction(0.5, radians(90)), 1e-12)
	rapid.Check(t, func(t *rapid.T) {
		ωs := rapid.Float64Range(0, math.Pi).Draw(t, "ωs")
		k := rapid.Float64Range(0, 0.9).Draw(t, "KT")
		f, clearer := DiffuseFraction(k, ωs), DiffuseFraction(k+0.02, ωs)
		if f < 0 || f > 1 || clearer > f {
			t.Fatalf("KT %g: %g, a little clearer: %g", k, f, clearer)
		}
	})
}

// TestOnPanel: an even sky lights a vertical panel half as much as a
// horizontal one, and so does ground that returns everything.
func TestOnPanel(t *testing.T) {
	assert.InDelta(t, 50, OnPanel(VerticalPanel(), 100, 1, 7, 0), 1e-9)
	assert.InDelta(t, 100, OnPanel(VerticalPanel(), 100, 1, 7, 1), 1e-9)
	assert.InDelta(t, 100, OnPanel(Panel{}, 100, 0.3, 1, 0.5), 1e-9)
	assert.InDelta(t, 70, OnPanel(VerticalPanel(), 100, 0, 0.7, 0), 1e-9)
}

// TestFreezeThawShare takes Φ(1) = 0.8413 and Φ(2) = 0.9772 from any table of
// the normal distribution.
func TestFreezeThawShare(t *testing.T) {
	assert.InDelta(t, 2*0.8413-1, FreezeThawShare(3.5, -3.5, 3.5), 1e-4)
	assert.InDelta(t, 0.9772-0.8413, FreezeThawShare(-4, -8, 4), 1e-4)
	assert.InDelta(t, 0.9772, FrostShare(-8, 4), 1e-4)
	assert.InDelta(t, 0, FreezeThawShare(35, 20, 3.5), 1e-6)
}

// TestFrostDaysCounted holds the estimates against days counted over many
// years: Chicago has 127 days a year with frost (weather service, as printed by
// Shaw Local, 27 January 2014) of which 40 stay below freezing (average since
// 1871, WGN, 15 March 2019); Minneapolis has 151 days with frost (Shaw Local).
// Other decades and rounded normals: within a tenth.
func TestFrostDaysCounted(t *testing.T) {
	year := func(file, name string) Year {
		for _, s := range stations(t, file) {
			if strings.HasPrefix(s.name, name) {
				c, err := Of(Place{LatitudeDeg: 42, Normals: Normals{MaxTempC: &s.max, MinTempC: &s.min}}, DefaultAssumptions())
				require.NoError(t, err)
				return c.Year
			}
		}
		require.Fail(t, "no station", name)
		return Year{}
	}
	chicago := year("handbook.txt", "Chicago")
	assert.InEpsilon(t, 127, *chicago.FrostDays, 0.1)
	assert.InEpsilon(t, 127-40, *chicago.FreezeThawDays, 0.1)
	assert.InEpsilon(t, 151, *year("stations.txt", "Minneapolis").FrostDays, 0.1)
}

// TestHeatWeight: 25 to 35 °C at 50 kJ/mol, worked with R = 8.314 J/(mol K):
// exp(6013.95 · 1.088440e-4) = 1.924.
func TestHeatWeight(t *testing.T) {
	assert.InDelta(t, 1.924, HeatWeight(35, 25, 50), 0.001)
	assert.InDelta(t, 1.881, HeatWeight(35, 25, 0.5*96.485), 0.001, "0.5 eV")
	assert.Equal(t, 1.0, HeatWeight(25, 25, 50))
	assert.Equal(t, 1.0, HeatWeight(-10, 25, 0), "no activation energy, no effect")
}

// TestVapourPressure is example 3 of FAO-56.
func TestVapourPressure(t *testing.T) {
	assert.InDelta(t, 3.075, VapourPressure(24.5), 0.0005)
	assert.InDelta(t, 1.705, VapourPressure(15), 0.0005)
}

// TestDewPoint holds dew points against those worked out by the same formula
// with another program, and against what must be: saturated air is at its own.
func TestDewPoint(t *testing.T) {
	assert.InDelta(t, 9.27, DewPoint(20, 50), 0.005)
	assert.InDelta(t, 7.72, DewPoint(20, 45), 0.005)
	assert.InDelta(t, 6.71, DewPoint(10, 80), 0.005)
	assert.InDelta(t, 17, DewPoint(17, 100), 1e-9)
	assert.True(t, math.IsNaN(DewPoint(20, 0)))
}
