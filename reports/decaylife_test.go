package reports

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLivesAgree: curves and checkups of one fleet tell of the same lives, the
// known median within both limits, and each has its part on the plot.
func TestLivesAgree(t *testing.T) {
	y := drawnYard(1, 80)
	options := DefaultLifeOptions(ByCoating)
	options.BootstrapReplicates = 99
	life, err := NewLife(t.Context(), y.follow(), options)
	require.NoError(t, err)
	decays, err := NewDecays(t.Context(), y.follow(), life, DecayOptions{Protocol: atOnce(), Level: 0.95, Seed: 1})
	require.NoError(t, err)
	d := decays[0]
	a := d.Population.Life.Agreement
	require.NotNil(t, a)
	assert.Equal(t, life.Rows[0].Median.Months, a.Seen.Months)
	assert.LessOrEqual(t, a.LeastLonger, a.MostLonger)
	require.NotNil(t, a.Within)
	outside := 0.0
	for _, o := range a.Outside {
		outside += o.High - o.Low
	}
	assert.LessOrEqual(t, *a.Within, 1.0)
	assert.GreaterOrEqual(t, outside/a.ToMonths+0.05, 1-*a.Within, "what is not within is listed")

	plot, ok := d.livesPlot(lookOf(0))
	require.True(t, ok)
	assert.Contains(t, plot.Title, "checkups show "+months(a.Seen.Months))
	assert.Equal(t, []string{"0", "100", plot.Table.Rows[0][2], "100", plot.Table.Rows[0][4]}, plot.Table.Rows[0])
	assert.Contains(t, a.Sentence(), "The two are not averaged.")

	var text strings.Builder
	require.NoError(t, decays.WriteText(&text))
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
}

// TestNoLifeToCompare: with too few spent there is nothing to set beside the
// curves, and no plot.
func TestNoLifeToCompare(t *testing.T) {
	y := newYard()
	for i := range 12 {
		y.vehicle("Cfb", "A", shifted(falling(76, 150), float64(i%3)-1)...)
	}
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
	require.NoError(t, err)
	require.Nil(t, life.Rows[0].Median)
	decays, err := NewDecays(t.Context(), y.follow(), life, DecayOptions{Protocol: atOnce(), Level: 0.95, Seed: 1})
	require.NoError(t, err)
	d := decays[0]
	require.NotNil(t, d.Population, d.Unmodelled)
	assert.True(t, math.IsInf(d.Population.Life.Median.Months, 1), "nothing is said of times beyond the last reading")
	assert.Nil(t, d.Population.Life.Agreement)
	assert.Empty(t, d.LivesFinding())
	_, ok := d.livesPlot(lookOf(0))
	assert.False(t, ok)
	assert.Contains(t, d.PanelFinding(), "not within 4.9 months")
}

func TestLongerWords(t *testing.T) {
	for want, c := range map[string][2]float64{
		"0.2 to 0.5 months longer":                         {0.2, 0.5},
		"0.2 to 0.5 months shorter":                        {-0.5, -0.2},
		"0.4 months shorter":                               {-0.42, -0.38},
		"between 0.1 months shorter and 0.3 months longer": {-0.1, 0.3},
	} {
		assert.Equal(t, want, longerWords(c[0], c[1]))
	}
}

func TestStretchWords(t *testing.T) {
	three := []Limits{{1, 2}, {3, 4.5}, {6, 7}}
	assert.Equal(t, "in months 1.0–2.0", stretchWords(three[:1]))
	assert.Equal(t, "in months 1.0–2.0, 3.0–4.5 and 6.0–7.0", stretchWords(three))
	assert.Equal(t, "in 4 stretches between months 1.0–9.0", stretchWords(append(three, Limits{8, 9})))
}
