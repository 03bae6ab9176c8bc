package reports

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

// twoCoatings is a yard of vehicles that carry A or B or both; factor makes A's
// lives so many times as long. Only some of either last past the last checkup.
func twoCoatings(seed uint64, vehicles int, factor float64) *yard {
	random := rand.New(rand.NewPCG(seed, 7))
	y := newYard()
	for i := range vehicles {
		class := []string{"Cfb", "BWh"}[random.IntN(2)]
		of := math.Exp(0.2 * random.NormFloat64())
		switch i % 3 {
		case 0:
			y.vehicle(class, "A", fading(random, 300*of*factor)...)
		case 1:
			y.vehicle(class, "B", fading(random, 300*of)...)
		default:
			v := y.vehicle(class, "A", fading(random, 300*of*factor)...)
			y.patch(v, "B", fading(random, 300*of)...)
		}
	}
	return y
}

// renamed exchanges the codes of coatings.
func renamed(f study.Fleet, names map[string]string) study.Fleet {
	f.Coatings = append([]study.Coating{}, f.Coatings...)
	for i, c := range f.Coatings {
		if name, is := names[c.Code]; is {
			f.Coatings[i].Code = name
		}
	}
	return f
}

// Exchanging the names of two coatings exchanges them in every figure: the one
// that lasts longer comes first, whatever it is called.
func TestComparisonOfExchangedNames(t *testing.T) {
	t.Parallel()
	for seed, factor := range []float64{0.7, 1, 1.5} {
		y := twoCoatings(uint64(seed), 45, factor)
		p := comparisonOf(t, y, roughComparison()).Pairs[0]
		turned, err := NewFleetComparison(t.Context(), renamed(y.fleet, map[string]string{"A": "B", "B": "A"}), atOnce(), roughComparison())
		require.NoError(t, err)
		q := turned.Pairs[0]
		require.Equal(t, [2]string{q.B, q.A}, [2]string{p.A, p.B})
		require.GreaterOrEqual(t, p.Ratio.Ratio, 1.0)
		require.InEpsilon(t, p.Ratio.Ratio, q.Ratio.Ratio, 1e-6)
		require.InEpsilon(t, p.Ratio.P, q.Ratio.P, 1e-4)
		require.InDelta(t, p.Lead.Months, q.Lead.Months, 1e-6)
		require.InDelta(t, p.Lead.Limits.Low, q.Lead.Limits.Low, 1e-4)
		require.Equal(t, p.Lead.Patches, q.Lead.Patches)
	}
}

// The ratio of the second to the first is the inverse of that of the first to the
// second, and the lead is its negative.
func TestComparisonTheOtherWayRound(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := newCoatingSample(twoCoatings(rapid.Uint64().Draw(rt, "seed"), 30, rapid.Float64Range(0.6, 1.6).Draw(rt, "factor")).follow())
		f := s.ratios(ratioPlan{adjusted: true, clustered: true, level: 0.95})
		require.NoError(rt, f.err)
		ab, why := f.ratio("A", "B")
		ba, alsoWhy := f.ratio("B", "A")
		require.Equal(rt, ab == nil, ba == nil)
		require.Equal(rt, why == "", alsoWhy == "")
		if ab != nil {
			require.InEpsilon(rt, 1/ab.Ratio, ba.Ratio, 1e-9)
			require.InEpsilon(rt, 1/ab.Limits.Low, ba.Limits.High, 1e-9)
			require.InDelta(rt, ab.P, ba.P, 1e-9)
			require.LessOrEqual(rt, ab.Limits.Low, ab.Ratio)
			require.LessOrEqual(rt, ab.Ratio, ab.Limits.High)
		}
		lead, why, err := s.lead(t.Context(), "A", "B", roughComparison(), &tally{})
		require.NoError(rt, err)
		back, _, err := s.lead(t.Context(), "B", "A", roughComparison(), &tally{})
		require.NoError(rt, err)
		require.Equal(rt, lead == nil, back == nil, why)
		if lead != nil {
			require.InDelta(rt, -lead.Months, back.Months, 1e-9)
			require.InDelta(rt, -lead.Limits.Low, back.Limits.High, 1e-6)
			require.Equal(rt, lead.HorizonMonths, back.HorizonMonths)
		}
	})
}

// Copies of one coating under two names last as long as each other: patches of
// the copy are on the same vehicles, and were seen the same.
func TestComparisonOfCopies(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 7))
	y := newYard()
	for range 30 {
		readings := fading(random, 300)
		v := y.vehicle("Cfb", "A", readings...)
		y.patch(v, "COPY", readings...)
	}
	c := comparisonOf(t, y, roughComparison())
	p := c.Pairs[0]
	require.NotNil(t, p.Ratio, p.RatioWhy)
	assert.InDelta(t, 1, p.Ratio.Ratio, 1e-6)
	require.Nil(t, p.Lead, "no resample has them differ: nothing tells how far that may be off")
	assert.Contains(t, p.LeadWhy, "nothing tells how far it may be off")
	assert.Equal(t, 30, p.Both)
	assert.Contains(t, c.Sentence(), "not shown to differ")
}

// Time in another unit leaves ratios as they are, and scales means.
func TestComparisonInAnotherUnit(t *testing.T) {
	t.Parallel()
	s := newCoatingSample(twoCoatings(5, 90, 1.4).follow())
	scaled := &coatingSample{}
	for _, m := range s.patches {
		changed := *m
		changed.Span.EntryDays, changed.Span.LowerDays, changed.Span.UpperDays = 3*m.Span.EntryDays, 3*m.Span.LowerDays, 3*m.Span.UpperDays
		scaled.patches = append(scaled.patches, &changed)
	}
	plan := ratioPlan{adjusted: true, clustered: true, level: 0.95}
	before, _ := s.ratios(plan).ratio("A", "B")
	after, _ := scaled.ratios(plan).ratio("A", "B")
	assert.InEpsilon(t, before.Ratio, after.Ratio, 1e-6)
	assert.InEpsilon(t, before.Limits.High, after.Limits.High, 1e-6)
	o := roughComparison()
	o.HorizonMonths = 6
	lead, why, err := s.lead(t.Context(), "A", "B", o, &tally{})
	require.NoError(t, err)
	require.Empty(t, why)
	o.HorizonMonths = 18
	threefold, _, err := scaled.lead(t.Context(), "A", "B", o, &tally{})
	require.NoError(t, err)
	assert.InEpsilon(t, 3*lead.Months, threefold.Months, 1e-9)
	assert.InEpsilon(t, 3*lead.Limits.High, threefold.Limits.High, 1e-6)
}

// A is mostly in the desert, where lives are half as long, B mostly in a mild
// climate, and in either they last equally long: held alike in climate the ratio
// and the months come near 1 and 0, where without that A looks much worse.
func TestComparisonOfUnevenClimates(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(11, 7))
	y := newYard()
	for i := range 240 {
		coating, class, life := "A", "BWh", 250.0
		if i%2 == 1 {
			coating = "B"
		}
		if (coating == "B") == (random.IntN(5) > 0) {
			class, life = "Cfb", 500
		}
		y.vehicle(class, coating, fading(random, life)...)
	}
	c := comparisonOf(t, y, roughComparison())
	p := c.Pairs[0]
	require.NotNil(t, p.Ratio, p.RatioWhy)
	assert.InDelta(t, 0, math.Log(p.Ratio.Ratio), 0.08)
	assert.False(t, p.Ratio.Shown(0.95))
	assert.InDelta(t, 0, p.Lead.Months, 0.8)
	raw := readRatio(t, c, "climate and orientation left out", p.A, p.B)
	assert.Greater(t, math.Abs(math.Log(raw.Ratio.Ratio)), 0.25)
	assert.Equal(t, NowShown, raw.Change)
	assert.Contains(t, strings.Join(c.WhatWouldChange(), " "), "shown only so with “climate and orientation left out”")
}

// No more is said than is known.
func TestComparisonOfTooLittle(t *testing.T) {
	t.Parallel()
	y := newYard()
	for i := range 12 {
		y.spent("Cfb", "A", 150+20*i, 210+20*i)
		y.held("Cfb", "NEW", 300)
		y.spent("Dfb", "FAR", 40+10*i, 100+10*i)
	}
	y.spent("Cfb", "NEW", 100, 150)
	c := comparisonOf(t, y, roughComparison())
	far, early := pairOf(t, c, "A", "FAR"), pairOf(t, c, "A", "NEW")
	assert.Nil(t, far.Ratio)
	assert.Contains(t, far.RatioWhy, "no climate in common")
	assert.Contains(t, far.LeadWhy, "no climate in common")
	assert.Nil(t, early.Ratio)
	assert.Equal(t, "of NEW 1 of 13 patches spent, on 1 vehicle; a ratio takes 5 on 3", early.RatioWhy)
	assert.Nil(t, early.Lead)
	assert.Contains(t, early.LeadWhy, "of NEW 1 of 13 patches spent")
	assert.Contains(t, c.Sentence(), "for none it can be told yet how many times as long")
	assert.NotContains(t, c.Sentence(), "log-rank", "vehicles of FAR live elsewhere")
	// Without climate A and FAR can be told apart, and that is said.
	assert.Equal(t, NowShown, readRatio(t, c, "climate and orientation left out", "A", "FAR").Change)

	none := comparisonOf(t, newYard(), roughComparison())
	assert.Equal(t, "There are no two coatings to compare.", none.Sentence())
	assert.Empty(t, none.Plots())
	assert.Empty(t, none.Pairs)
}

// Where all vehicles carry both and the visits leave no model a choice, the
// log-rank test still tells which lasts longer: of eight vehicles with one longer on
// each, p is that of the sign test, 2/2⁸.
func TestComparisonByRankAlone(t *testing.T) {
	t.Parallel()
	y := newYard()
	for range 8 {
		v := y.spent("Cfb", "A", 300, 330)
		y.patch(v, "B", clean{90, 105}, clean{120, 80})
	}
	c := comparisonOf(t, y, roughComparison())
	p := c.Pairs[0]
	assert.Nil(t, p.Ratio)
	assert.InDelta(t, 2/math.Pow(2, 8), p.RankAdjusted, 1e-12)
	assert.Contains(t, c.Sentence(), "A lasts longer than B (log-rank p = 0.0078; 8 of 8 against 8 of 8 patches spent), by how much can’t be told.")
	assert.Empty(t, c.WhatWouldChange())
}

// A coating in two climates joins those that have one each.
func TestCoatingsInLots(t *testing.T) {
	t.Parallel()
	y := newYard()
	for _, at := range [][2]string{{"A", "Cfb"}, {"B", "Dfb"}, {"C", "BWh"}, {"D", "BWh"}} {
		y.held(at[1], at[0], 100)
	}
	assert.Equal(t, [][]string{{"A"}, {"B"}, {"C", "D"}}, newCoatingSample(y.follow()).lots(true))
	y.held("Cfb", "B", 100)
	assert.Equal(t, [][]string{{"A", "B"}, {"C", "D"}}, newCoatingSample(y.follow()).lots(true))
	y.held("BWh", "A", 100)
	assert.Equal(t, [][]string{{"A", "B", "C", "D"}}, newCoatingSample(y.follow()).lots(true))
}

func TestComparisonOptions(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*ComparisonOptions){
		"level":      func(o *ComparisonOptions) { o.Level = 1 },
		"replicates": func(o *ComparisonOptions) { o.BootstrapReplicates = 9 },
		"horizon":    func(o *ComparisonOptions) { o.HorizonMonths = -1 },
		"coating":    func(o *ComparisonOptions) { o.Coatings = []string{"A", "OAK"} },
	} {
		o := roughComparison()
		change(&o)
		_, err := NewFleetComparison(t.Context(), twoCoatings(1, 9, 1).fleet, atOnce(), o)
		assert.ErrorIs(t, err, ErrOptions, name)
	}
	o := roughComparison()
	o.HorizonMonths = 120
	c := comparisonOf(t, twoCoatings(1, 30, 1), o)
	assert.Contains(t, c.Pairs[0].LeadWhy, "followed for 120 months")
}

// Twelve coatings are 66 pairs: all are in the table and the files, and the
// pictures keep to those with the first.
func TestComparisonOfManyCoatings(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(2, 7))
	y := newYard()
	for i := range 180 {
		n := i % 12
		y.vehicle("Cfb", fmt.Sprintf("K%02d", n), fading(random, 200+15*float64(n))...)
	}
	var done, total int
	o := roughComparison()
	o.Progress = func(d, of int) { done, total = d, of }
	c := comparisonOf(t, y, o)
	assert.Equal(t, total, done)
	assert.Len(t, c.Pairs, 66)
	assert.Len(t, c.Table().Rows, 66)
	plots := c.Plots()
	for _, p := range plots {
		assert.LessOrEqual(t, len(p.Table.Rows), mostForest, p.Name)
		_, err := p.Inline("x", 358)
		require.NoError(t, err)
	}
	assert.Len(t, plots[0].Table.Rows, 11)
	assert.Contains(t, plots[0].Description, "Of 66 pairs it shows those with "+c.Coatings[0].Code)
	assert.LessOrEqual(t, len(c.ReadingTables()), mostPanels)
	assert.LessOrEqual(t, strings.Count(c.Sentence(), "times as long"), mostTold)
	assert.LessOrEqual(t, len(c.WhatWouldChange()), 2*mostTold+5)
	for i := range c.Pairs[1:] { // p of any pair, adjusted, is no smaller than before
		assert.GreaterOrEqual(t, c.Pairs[i].Ratio.Adjusted, c.Pairs[i].Ratio.P)
	}
}

// The same data and the same seed give the same bytes, and these hold what the
// comparison does.
func TestComparisonOnPaper(t *testing.T) {
	t.Parallel()
	y := twoCoatings(4, 60, 1.5)
	written := func() (text, record, table string) {
		c := comparisonOf(t, y, roughComparison())
		var a, b, d bytes.Buffer
		require.NoError(t, c.WriteText(&a))
		require.NoError(t, c.WriteJSON(&b))
		require.NoError(t, c.WriteCSV(&d))
		for _, p := range c.Plots() {
			require.NoError(t, p.WriteSVG(&d))
		}
		return a.String(), b.String(), d.String()
	}
	text, record, table := written()
	text2, record2, table2 := written()
	assert.Equal(t, []string{text, record, table}, []string{text2, record2, table2})
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, len([]rune(line)), 101)
	}
	c := comparisonOf(t, y, roughComparison())
	var got struct {
		Pairs []struct {
			Ratio   float64 `json:"ratio_of_lives"`
			Months  float64 `json:"mean_difference_months"`
			Horizon float64 `json:"horizon_months"`
			Shown   bool    `json:"shown_to_differ"`
		}
		Readings []struct{ Ratios []map[string]any }
	}
	require.NoError(t, json.Unmarshal([]byte(record), &got))
	require.Len(t, got.Pairs, 1)
	assert.Equal(t, c.Pairs[0].Ratio.Ratio, got.Pairs[0].Ratio)
	assert.Equal(t, c.Pairs[0].Lead.Months, got.Pairs[0].Months)
	assert.Equal(t, c.Pairs[0].Lead.HorizonMonths, got.Pairs[0].Horizon)
	assert.True(t, got.Pairs[0].Shown)
	assert.Len(t, got.Readings, len(c.Readings))
	rows, err := csv.NewReader(strings.NewReader(table[:strings.Index(table, "<?xml")])).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 2)
	assert.Equal(t, "coating_a", rows[0][0])
	assert.Equal(t, "A", rows[1][0])
	section := c.Section()
	assert.Equal(t, "Coatings compared", section.Heading)
	assert.NotEmpty(t, section.Parts)
}
