package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"beadspan/study"
)

// Every other reading of the records changes one thing of the protocol, and stays
// one that a study may have.
func TestReadings(t *testing.T) {
	t.Parallel()
	none := &ratioFits{}
	names := func(p study.Protocol) (names []string) {
		for i, r := range readingsOf(p, none) {
			assert.Equal(t, i == 0, r.own)
			if r.protocol != nil {
				assert.Empty(t, r.protocol.Validate(), r.what)
				names = append(names, r.what)
			}
		}
		return names
	}
	p := study.DefaultProtocol()
	assert.Equal(t, []string{"toppers count as usual care", "threshold 80°", "threshold 85°", "threshold 95°", "one fail counts at once"}, names(p))
	p.Estimand, p.Confirm, p.Threshold = study.AsMaintained, 1, 178
	assert.Equal(t, []string{"followed up to the first topper", "threshold 168°", "threshold 173°", "fails count once confirmed"}, names(p),
		"no angle is above 180°")
	p.Metric, p.Threshold = study.BeadGrade, 5
	assert.Contains(t, names(p), "threshold grade 4")
	assert.NotContains(t, names(p), "threshold grade 6")
	p.Metric, p.Threshold = study.SheetTime, 60
	assert.Subset(t, names(p), []string{"threshold 120 s", "threshold 90 s", "threshold 45 s"})
	p.Metric, p.Threshold = study.WetShare, 60
	assert.Subset(t, names(p), []string{"threshold 90 %", "threshold 45 %"})
	assert.NotContains(t, names(p), "threshold 120 %")
}

func TestChangeOfAConclusion(t *testing.T) {
	t.Parallel()
	above, below, about := &RatioOfLives{Limits: Limits{1.1, 1.4}}, &RatioOfLives{Limits: Limits{0.7, 0.9}}, &RatioOfLives{Limits: Limits{0.9, 1.2}}
	for _, c := range []struct {
		own, read *RatioOfLives
		want      Change
	}{
		{above, above, Unchanged}, {above, about, NoLongerShown}, {above, below, Reversed}, {above, nil, NoLongerKnown},
		{about, about, Unchanged}, {about, above, NowShown}, {about, below, NowShown}, {about, nil, NoLongerKnown},
		{nil, nil, Unchanged}, {nil, about, Unchanged}, {nil, below, NowShown}, {below, above, Reversed},
	} {
		assert.Equal(t, c.want, changeOf(c.own, c.read))
	}
}

// What would change the conclusion names the readings that do, and apart from
// them the mistakes and those that say nothing.
func TestWhatWouldChange(t *testing.T) {
	t.Parallel()
	r := func(low, high float64) *RatioOfLives {
		return &RatioOfLives{Ratio: (low + high) / 2, Limits: Limits{low, high}}
	}
	reading := func(what string, mistake bool, a, b *RatioOfLives) Reading {
		own := []*RatioOfLives{r(1.1, 1.5), r(0.9, 1.3)}
		return Reading{What: what, Mistake: mistake, Ratios: []ReadRatio{
			{Ratio: a, Change: changeOf(own[0], a)}, {Ratio: b, Change: changeOf(own[1], b)}}}
	}
	c := &FleetComparison{Level: 0.95, Pairs: []CoatingPair{{A: "A", B: "B", Ratio: r(1.1, 1.5)}, {A: "A", B: "C", Ratio: r(0.9, 1.3)}}}
	c.Readings = []Reading{reading("as the protocol says", false, r(1.1, 1.5), r(0.9, 1.3)),
		reading("x", false, r(1.2, 1.4), r(0.8, 1.2)), reading("y", false, r(1.1, 1.6), nil)}
	assert.Equal(t, []string{"No other reading of the records would change what is said of any pair: 2 were tried.",
		"Nothing can be said with “y” of 1 pair."}, c.WhatWouldChange())
	c.Readings = append(c.Readings, reading("z", false, r(0.9, 1.3), r(0.9, 1.2)), reading("wrong", true, r(1.1, 1.2), r(1.1, 1.3)))
	assert.Equal(t, []string{"Of 2 pairs, 1 comes out the same by all 3 other readings of the records. What would change the others:",
		"A and B: no longer shown with “z”, 1.10 (0.90–1.30).",
		"Nothing can be said with “y” of 1 pair.",
		"Mistakes would change what is said:",
		"A and C: shown only so with “wrong”, 1.20 (1.10–1.30)."}, c.WhatWouldChange())
}
