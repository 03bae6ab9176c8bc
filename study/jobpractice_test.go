package study_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// The listed limits are where the warnings begin, on both sides.
func TestJobPracticeIsWhatWarns(t *testing.T) {
	set := map[string]func(*study.Job, float64){
		"air_temp_c":         func(j *study.Job, x float64) { j.AirTempC = &x },
		"humidity_pct":       func(j *study.Job, x float64) { j.HumidityPct = &x },
		"prep_alcohol_pct":   func(j *study.Job, x float64) { j.PrepAlcoholPct = &x },
		"layers":             func(j *study.Job, x float64) { j.Layers = new(int(math.Round(x))) },
		"layer_interval_h":   func(j *study.Job, x float64) { j.LayerIntervalH = &x },
		"flash_s":            func(j *study.Job, x float64) { j.FlashS = &x },
		"keep_dry_h":         func(j *study.Job, x float64) { j.KeepDryH = &x },
		"days_to_first_wash": func(j *study.Job, x float64) { j.DaysToFirstWash = &x },
	}
	warned := func(column string, x float64) bool {
		var j study.Job
		set[column](&j, x)
		return len(j.Warnings()) > 0
	}
	require.Len(t, study.JobPractice(), len(set))
	for _, p := range study.JobPractice() {
		if p.Low != nil {
			assert.False(t, warned(p.Column, *p.Low), p.Column)
			assert.True(t, warned(p.Column, *p.Low-1), p.Column)
		}
		if p.High != nil {
			assert.False(t, warned(p.Column, *p.High), p.Column)
			assert.True(t, warned(p.Column, *p.High+1), p.Column)
		}
		assert.True(t, p.Low != nil || p.High != nil, p.Column)
	}
}

// Drops of 100, 103 and 106°: mean 103, squares of 9, 0 and 9, by hand.
func TestSpreadDeg(t *testing.T) {
	spread, measured := study.Reading{AnglesDeg: []float64{100, 103, 106}}.SpreadDeg()
	assert.True(t, measured)
	assert.InDelta(t, 3, spread, 1e-12)
	for _, few := range [][]float64{nil, {90}} {
		_, measured = study.Reading{AnglesDeg: few}.SpreadDeg()
		assert.False(t, measured)
	}
}
