package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// baysYard is a yard in which some jobs were done in a cold bay, which makes
// lives so many times as long. Each vehicle has one job for its two patches.
func baysYard(seed uint64, vehicles int, cold float64) *yard {
	random := rand.New(rand.NewPCG(seed, 2))
	y := newYard()
	for i := range vehicles {
		temp, share := 18.0, 1.0
		if random.IntN(3) == 0 {
			temp, share = 6, cold
		}
		job := study.Job{AirTempC: &temp, KeepDryH: new(0.0), Layers: new(2), HumidityPct: new(45 + 10*random.Float64())}
		of := share * math.Exp(0.15*random.NormFloat64())
		v := y.vehicle([]string{"Cfb", "BWh"}[i%2], "A", fading(random, 420*of)...)
		y.patch(v, "B", fading(random, 500*of)...)
		for p := range v.Patches {
			v.Patches[p].Job = job
		}
	}
	return y
}

func effectOf(t *testing.T, e *JobEffects, condition, contrast string) JobEffect {
	t.Helper()
	for _, effect := range e.Effects {
		if effect.Condition == condition && effect.Contrast == contrast {
			return effect
		}
	}
	require.Fail(t, "no such effect", condition+" "+contrast)
	return JobEffect{}
}

// A bay that halves lives is found, and found to halve them.
func TestJobEffectIsFound(t *testing.T) {
	e, err := NewJobEffects(t.Context(), baysYard(1, 80, 0.5).follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	cold := effectOf(t, e, "air temperature", "below 10 °C")
	require.Empty(t, cold.Why)
	assert.True(t, cold.Shown)
	assert.Less(t, cold.Adjusted, 1e-6)
	assert.InDelta(t, 0.5, cold.Ratio, 0.06)
	assert.Less(t, cold.Limits.Low, 0.5)
	assert.Greater(t, cold.Limits.High, 0.5)
	assert.Equal(t, 160, cold.With.Patches+cold.Without.Patches)
	assert.Contains(t, e.Sentence(), "air temperature below 10 °C went with lives 0.")

	// The same lives, the bay's temperature told the other way round.
	o := DefaultJobEffectOptions()
	o.Limits.ColdC, o.Limits.HotC = -20, 10
	turned, err := NewJobEffects(t.Context(), baysYard(1, 80, 0.5).follow(), o)
	require.NoError(t, err)
	warm := effectOf(t, turned, "air temperature", "above 10 °C")
	assert.InEpsilon(t, 1/cold.Ratio, warm.Ratio, 1e-6)
	assert.InEpsilon(t, 1/cold.Limits.High, warm.Limits.Low, 1e-6)
	assert.InEpsilon(t, cold.P, warm.P, 1e-6)
}

// Where jobs don't differ there is nothing to learn, and that is said.
func TestJobEffectsWithoutVariation(t *testing.T) {
	e, err := NewJobEffects(t.Context(), baysYard(2, 60, 0.8).follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	for _, c := range []struct{ condition, contrast, why string }{
		{"air temperature", "above 25 °C", "no variation to learn from: 0 patches, 0 spent, against"},
		{"humidity", "above 70 %", "no variation to learn from: 0 patches"},
		{"layers", "1", "no variation to learn from"},
		{"time between layers", "for each hour more", "on record for no patch"},
		{"keep-dry time", "below 24 h", "no variation to learn from: 120 patches"},
		{"first wash", "before 7 days", "on record for no patch"},
		{"alcohol in the prep wipe", "for each 10 % more", "on record for no patch"},
	} {
		effect := effectOf(t, e, c.condition, c.contrast)
		assert.Contains(t, effect.Why, c.why)
		assert.False(t, effect.Shown)
	}
	assert.Empty(t, effectOf(t, e, "air temperature", "below 10 °C").Why)
}

// A slope is told in its unit: each 10 % more alcohol takes a fifth of the life
// here. One layer has no time between layers, and keeps its patch in.
func TestJobEffectSlope(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 2))
	y := newYard()
	for i := range 120 {
		percent := 20 + 5*float64(random.IntN(9))
		layers := 1 + i%2
		job := study.Job{PrepAlcoholPct: &percent, KeepDryH: new(0.0), Layers: &layers}
		if layers == 2 {
			job.LayerIntervalH = new(0.5 + 0.25*float64(random.IntN(6)))
		}
		v := y.vehicle("Cfb", "A", fading(random, 420*math.Pow(0.8, (percent-40)/10))...)
		v.Patches[0].Job = job
	}
	e, err := NewJobEffects(t.Context(), y.follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	slope := effectOf(t, e, "alcohol in the prep wipe", "for each 10 % more")
	assert.True(t, slope.Shown)
	assert.InDelta(t, 0.8, slope.Ratio, 0.04)
	assert.Equal(t, 120, slope.With.Patches)
	hours := effectOf(t, e, "time between layers", "for each hour more")
	assert.Empty(t, hours.Why)
	assert.Equal(t, 60, hours.With.Patches)
	one := effectOf(t, e, "layers", "1")
	assert.Equal(t, 120, one.With.Patches+one.Without.Patches)
	assert.Less(t, one.Limits.Low, 1.0)
	assert.Greater(t, one.Limits.High, 1.0)
}

// One layer needs no time between layers; two whose time nobody wrote down do.
func TestJobConditionThatDoesNotApply(t *testing.T) {
	conditions := DefaultJobEffectOptions().Limits.conditions()
	i := slices.IndexFunc(conditions, func(c jobCondition) bool { return c.name == "time between layers" })
	for layers, want := range map[int]bool{1: true, 2: false} {
		value, recorded := conditions[i].of(study.Job{Layers: &layers})
		assert.Nil(t, value)
		assert.Equal(t, want, recorded)
	}
}

// With several effects looked at, p = 0.03 is no discovery: Holm's method makes
// 0.06 of the smaller of two, and as much of the larger.
func TestJobEffectsAreAdjusted(t *testing.T) {
	e := JobEffects{Level: 0.95, Effects: []JobEffect{{P: 0.04}, {Why: "no variation"}, {P: 0.03}}}
	e.adjust()
	assert.InDelta(t, 0.06, e.Effects[0].Adjusted, 1e-15)
	assert.InDelta(t, 0.06, e.Effects[2].Adjusted, 1e-15)
	for _, effect := range e.Effects {
		assert.False(t, effect.Shown)
	}
}

// A condition that goes with the climate alone can't be told from it.
func TestJobEffectThatIsTheClimate(t *testing.T) {
	y := baysYard(3, 60, 1)
	for i := range y.fleet.Vehicles {
		for p := range y.fleet.Vehicles[i].Patches {
			y.fleet.Vehicles[i].Patches[p].Job.AirTempC = new([]float64{6, 18}[i%2])
		}
	}
	e, err := NewJobEffects(t.Context(), y.follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	assert.Contains(t, effectOf(t, e, "air temperature", "below 10 °C").Why, "can’t be told from coating, climate")
	assert.Contains(t, e.Sentence(), "too little variation")
	assert.Nil(t, e.Tables())
}

func TestJobEffectsOfNothing(t *testing.T) {
	y := newYard()
	for range 20 {
		y.held("Cfb", "A", 300)
	}
	e, err := NewJobEffects(t.Context(), y.follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	assert.Zero(t, e.Patches)
	assert.Empty(t, e.Law)
	assert.NotEmpty(t, e.Effects)
	for _, effect := range e.Effects {
		assert.NotEmpty(t, effect.Why)
	}
	for _, level := range []float64{0, 1, math.NaN()} {
		_, err = NewJobEffects(t.Context(), nil, JobEffectOptions{Level: level})
		assert.ErrorIs(t, err, ErrOptions)
	}
}

func TestJobEffectsOnPaper(t *testing.T) {
	e, err := NewJobEffects(t.Context(), baysYard(1, 80, 0.5).follow(), DefaultJobEffectOptions())
	require.NoError(t, err)
	var text, record bytes.Buffer
	require.NoError(t, e.WriteText(&text))
	assert.Contains(t, text.String(), "air temperature below 10 °C")
	assert.Contains(t, text.String(), "* layers 1: no variation to learn from")
	for line := range strings.Lines(text.String()) {
		assert.LessOrEqual(t, len([]rune(line)), 101)
	}
	require.NoError(t, e.WriteJSON(&record))
	var got struct {
		Law     *string `json:"distribution"`
		Effects []map[string]any
		Notes   []string
	}
	require.NoError(t, json.Unmarshal(record.Bytes(), &got))
	require.Len(t, got.Effects, len(e.Effects))
	assert.NotNil(t, got.Law)
	assert.NotEmpty(t, got.Notes)
	for i, effect := range got.Effects {
		if e.Effects[i].Why == "" {
			assert.Equal(t, e.Effects[i].Ratio, effect["ratio_of_lives"])
			assert.Nil(t, effect["not_estimated_because"])
		} else {
			assert.Nil(t, effect["ratio_of_lives"])
			assert.Nil(t, effect["shown"])
			assert.Equal(t, e.Effects[i].Why, effect["not_estimated_because"])
		}
	}
}
