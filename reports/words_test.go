package reports

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"beadspan/study"
)

var inf = math.Inf(1)

// TestWords checks our own wording: what is expected follows from the rule that
// "not reached" is never a number.
func TestWords(t *testing.T) {
	assert.Equal(t, "14.2 (11.9–16.8)", (&Median{Months: 14.2, Limits: &Limits{11.9, 16.8}}).String())
	assert.Equal(t, "14.2 (11.9 or more)", (&Median{Months: 14.2, Limits: &Limits{11.9, inf}}).String())
	assert.Equal(t, "not reached (19.2 or more)", (&Median{Months: inf, Limits: &Limits{19.2, inf}}).String())
	assert.Equal(t, "not reached (not reached)", (&Median{Months: inf, Limits: &Limits{inf, inf}}).String())
	assert.Equal(t, "not reached", (&Median{Months: inf}).String())
	assert.Equal(t, "–", (*Median)(nil).String())
	assert.Equal(t, "62 % (51–72 %)", (&Share{Share: 0.62, Limits: &Limits{0.51, 0.72}}).String())
	assert.Equal(t, "–", (*Share)(nil).String())

	assert.Equal(t, "about 7 of 10", outOfTen(0.7))
	assert.Equal(t, "about 1 of 10", outOfTen(0.05))
	assert.Equal(t, "fewer than 1 of 20", outOfTen(0.0499))
	assert.Equal(t, "at least 19 of 20", outOfTen(0.95))

	assert.Equal(t, "90°", degrees(90))
	assert.Equal(t, "77.7°", degrees(77.68))
	assert.Equal(t, "1 patch", patches(1))
	assert.Equal(t, "A", listed([]string{"A"}))
	assert.Equal(t, "A, B and C", listed([]string{"A", "B", "C"}))
	assert.Empty(t, listed(nil))
}

func TestFindingOfAll(t *testing.T) {
	row := func(climate string, median float64) LifeRow {
		return LifeRow{Group: Group{Climate: climate}, Median: &Median{Months: median, Limits: &Limits{median - 1, inf}}, LongestMonths: 30}
	}
	climate := func(row LifeRow) string { return row.Climate }
	for want, rows := range map[string][]LifeRow{
		"Half of A’s patches were spent by 9.0 months in BWh (8.0 or more) and 12.0 in Cfb (11.0 or more)":                                            {row("BWh", 9), row("Cfb", 12), {}},
		"Half of A’s patches were spent by 9.0 months in BWh (8.0 or more); fewer than half were spent within the time followed in Cfb (30.0 months)": {row("BWh", 9), row("Cfb", inf)},
		"Fewer than half were spent within the time followed in Cfb (30.0 months)":                                                                    {row("Cfb", inf)},
	} {
		assert.Equal(t, want, findingOfAll("A’s patches", "in", rows, climate))
	}
}

func TestEveryStandingIsDrawnAndExplained(t *testing.T) {
	drawings := map[string]study.Standing{}
	for _, s := range study.Standings() {
		assert.NotEqual(t, string(s), standingMeaning(s))
		require.NotEmpty(t, dropDrawings[s])
		drawings[string(Drop(s))] = s
		requireXML(t, string(Drop(s)))
	}
	assert.Len(t, drawings, len(study.Standings()), "each looks different")
}

func TestEveryProtocolIsPutIntoWords(t *testing.T) {
	for _, metric := range study.Metrics() {
		for _, estimand := range []study.Estimand{study.ToTopper, study.AsMaintained} {
			words := strings.Join(protocolWords(study.Protocol{Metric: metric, Threshold: 4, Confirm: 3, Estimand: estimand}), " ")
			assert.Contains(t, words, "4")
			assert.Contains(t, words, "It takes 3 such fails in a row")
			assert.NotContains(t, words, string(estimand))
		}
	}
}

func TestWrap(t *testing.T) {
	style := textStyle(textSize, ink)
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zé]{1,12}`), 1, 20).Draw(rt, "words")
		lines := wrap(style, strings.Join(words, " "), 150)
		require.Equal(rt, words, strings.Fields(strings.Join(lines, " ")))
		for _, line := range lines {
			require.LessOrEqual(rt, style.Width(line), vg.Length(150))
		}
	})
}

func TestFitted(t *testing.T) {
	style := textStyle(textSize, ink)
	rapid.Check(t, func(rt *rapid.T) {
		label := rapid.StringMatching(`[A-Zé0-9-]{1,40}`).Draw(rt, "label")
		width := vg.Length(rapid.Float64Range(30, 300).Draw(rt, "width"))
		got := fitted(style, label, width)
		require.LessOrEqual(rt, style.Width(got), width)
		if style.Width(label) <= width {
			require.Equal(rt, label, got)
		} else {
			require.True(rt, strings.HasPrefix(label, strings.TrimSuffix(got, "…")))
		}
	})
}
