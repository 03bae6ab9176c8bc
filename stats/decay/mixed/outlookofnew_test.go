package mixed

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
)

// A group of the fit is told of as Outlook does, whatever its numbers are now;
// and a group whose readings the fit never saw is told of by them.
func TestOutlookOf(t *testing.T) {
	readings, _ := drawFleet(rand.New(rand.NewPCG(5, 12)), 60, 10)
	fit, err := Curves(readings, fleetModel)
	require.NoError(t, err)
	populations := fit.Draw(100, 1)
	ask := OutlookOptions{Times: []float64{200, 300}, Threshold: 75, Level: 0.95}
	var own []Reading
	for _, r := range readings {
		if r.Outer == 5 {
			r.Outer = 777
			own = append(own, r)
		}
	}
	covariates := own[0].Covariates
	want, err := populations.Outlook(5, 1, covariates, ask)
	require.NoError(t, err)
	got, err := populations.OutlookOf(own, 1, covariates, ask)
	require.NoError(t, err)
	assert.Equal(t, want.Basis, got.Basis)
	assert.Equal(t, want.Own, got.Own)
	for i, p := range got.Points {
		// Both search the same mode, from different places.
		near(t, "value", p.Value, want.Points[i].Value, check.Tolerance{Abs: 1e-3})
		near(t, "lower", p.Lower, want.Points[i].Lower, check.Tolerance{Abs: 1e-3})
		near(t, "upper", p.Upper, want.Points[i].Upper, check.Tolerance{Abs: 1e-3})
		near(t, "below", p.Below, want.Points[i].Below, check.Tolerance{Abs: 2e-3})
	}

	lower := slices.Clone(own)
	for i := range lower {
		lower[i].Value -= 5
	}
	shifted, err := populations.OutlookOf(lower, 1, covariates, ask)
	require.NoError(t, err)
	assert.Less(t, shifted.Points[0].Value, got.Points[0].Value, "lower readings, lower curves")

	want, err = populations.Outlook(9999, 0, covariates, ask)
	require.NoError(t, err)
	none, err := populations.OutlookOf(nil, 0, covariates, ask)
	require.NoError(t, err)
	assert.Equal(t, want, none)
}

func TestOutlookOfRefuses(t *testing.T) {
	readings, _ := drawFleet(rand.New(rand.NewPCG(5, 12)), 20, 10)
	fit, err := Curves(readings, fleetModel)
	require.NoError(t, err)
	populations := fit.Draw(2, 1)
	ask := OutlookOptions{Times: []float64{200}, Threshold: 75, Level: 0.95}
	for words, spoil := range map[string]func(rs []Reading){
		"outer group": func(rs []Reading) { rs[1].Outer++ },
		"time NaN":    func(rs []Reading) { rs[1].Time = math.NaN() },
		"weight":      func(rs []Reading) { rs[1].Weight = 0 },
	} {
		two := slices.Clone(readings[:2])
		two[1].Outer = two[0].Outer
		spoil(two)
		_, err := populations.OutlookOf(two, 0, two[0].Covariates, ask)
		var row *RowError
		require.ErrorAs(t, err, &row, words)
		assert.Equal(t, 1, row.Index, words)
		assert.ErrorContains(t, err, words)
	}
	assert.Panics(t, func() {
		_, _ = populations.OutlookOf([]Reading{{Weight: 1}}, 0, readings[0].Covariates, ask)
	})
}
