package reports

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

// TestSayNoMoreThanIsKnown holds each row of a table of life against the rules
// of the design: what may be said with how much behind it.
func TestSayNoMoreThanIsKnown(t *testing.T) {
	const year = 366 // days, past 12 months
	for _, c := range []struct {
		name  string
		build func(y *yard)
		check func(t *testing.T, row LifeRow)
	}{
		{"four spent patches: counts only", func(y *yard) {
			for range 4 {
				y.spent("Cfb", "A", 100, 200)
			}
			y.held("Cfb", "A", year)
		}, func(t *testing.T, row LifeRow) {
			assert.Nil(t, row.Median)
			assert.Nil(t, row.At12)
			assert.Nil(t, row.Curve)
			assert.Nil(t, row.NobodyFailed)
			assert.Equal(t, 4, row.Spent)
			assert.Contains(t, row.Notes, "4 of 5 patches spent, on 4 vehicles: too few for a median, which takes 5 spent patches on 3 vehicles.")
		}},
		{"five spent patches on two vehicles: counts only", func(y *yard) {
			v := y.spent("Cfb", "A", 100, 200)
			y.patch(v, "A", clean{100, 105}, clean{200, 80})
			v = y.spent("Cfb", "A", 100, 200)
			y.patch(v, "A", clean{100, 105}, clean{200, 80})
			y.patch(v, "A", clean{100, 105}, clean{200, 80})
		}, func(t *testing.T, row LifeRow) {
			assert.Nil(t, row.Median)
			assert.Equal(t, 2, row.SpentVehicles)
		}},
		{"five spent patches on three vehicles: a median, called early", func(y *yard) {
			for range 2 {
				v := y.spent("Cfb", "A", 100, 200)
				y.patch(v, "A", clean{100, 105}, clean{200, 80})
			}
			y.spent("Cfb", "A", 100, 200)
		}, func(t *testing.T, row LifeRow) {
			require.NotNil(t, row.Median)
			// All five ended in (100, 200]: so does the median, and nothing
			// tells where.
			assert.InDelta(t, 100/study.DaysPerMonth, row.Median.Between.Low, 1e-9)
			assert.InDelta(t, 200/study.DaysPerMonth, row.Median.Between.High, 1e-9)
			assert.Contains(t, row.Notes, "Early: it rests on 5 spent patches on 3 vehicles.")
			assert.Contains(t, row.Notes, "Limits from fewer than 20 vehicles (3) tend to be too narrow.")
		}},
		{"nobody failed: the bound for vehicles, not patches", func(y *yard) {
			for range 10 {
				v := y.held("Cfb", "A", year)
				y.patch(v, "A", clean{year, 105})
			}
		}, func(t *testing.T, row LifeRow) {
			assert.Nil(t, row.Median)
			require.NotNil(t, row.NobodyFailed)
			assert.Equal(t, 12.0, row.NobodyFailed.Months)
			assert.Equal(t, 10, row.NobodyFailed.Vehicles)
			// 0.05^(1/10) = 0.7411: science handbook 5.9, exact one-sided
			// limit of Clopper and Pearson (1934), computed by hand.
			assert.InDelta(t, 0.7411, row.NobodyFailed.AtLeast, 5e-5)
		}},
		{"fewer than half spent: not reached, and the note says within what", func(y *yard) {
			for i := range 6 {
				y.spent("Cfb", "A", 100+i, 200+i)
			}
			for range 20 {
				y.held("Cfb", "A", year)
			}
		}, func(t *testing.T, row LifeRow) {
			require.NotNil(t, row.Median)
			assert.True(t, math.IsInf(row.Median.Months, 1))
			assert.Contains(t, row.Notes, "Fewer than half were spent within the 12.0 months followed, so there is no median; nothing is said of later.")
			require.NotNil(t, row.At12)
			// 20 of 26 hold, and no patch left before that.
			assert.InDelta(t, 20.0/26, row.At12.Share, 1e-9)
			assert.Nil(t, row.VisitDate)
		}},
		{"before the first fall: the limit of nobody failing, not of resampling", func(y *yard) {
			for i := range 12 {
				y.spent("Cfb", "A", year+i, 500+i)
			}
		}, func(t *testing.T, row LifeRow) {
			require.NotNil(t, row.At12)
			assert.InDelta(t, 1, row.At12.Share, 1e-9)
			// 0.05^(1/12) = 0.7791: science handbook 5.9.
			assert.InDelta(t, 0.7791, row.At12.Limits.Low, 5e-5)
			assert.Equal(t, 1.0, row.At12.Limits.High)
		}},
		{"all spent: no limits where resampling can't show any", func(y *yard) {
			for i := range 12 {
				y.spent("Cfb", "A", 100+i, 200+i)
			}
			y.spent("Cfb", "A", 110, year)
		}, func(t *testing.T, row LifeRow) {
			require.NotNil(t, row.At12)
			assert.Zero(t, row.At12.Share)
			assert.Nil(t, row.At12.Limits)
		}},
		{"nobody followed for 12 months: no share at 12 or 24", func(y *yard) {
			for i := range 8 {
				y.spent("Cfb", "A", 100+i, 200+i)
			}
		}, func(t *testing.T, row LifeRow) {
			require.NotNil(t, row.Median)
			assert.Nil(t, row.At12)
			assert.Nil(t, row.At24)
			assert.Contains(t, row.Notes, "Nobody was followed for 12 months.")
		}},
		{"a share at 12 months, but none at 24", func(y *yard) {
			for i := range 8 {
				y.spent("Cfb", "A", 100+i, 200+i)
			}
			y.held("Cfb", "A", year)
		}, func(t *testing.T, row LifeRow) {
			assert.NotNil(t, row.At12)
			assert.Nil(t, row.At24)
			assert.Contains(t, row.Notes, "Nobody was followed for 24 months.")
		}},
		{"late enrolments after a thin start: no estimate", func(y *yard) {
			y.spent("Cfb", "A", 50, 60)
			y.spent("Cfb", "A", 55, 65)
			for range 8 {
				v := y.vehicle("Cfb", "A", clean{300, 105}, clean{400, 104}, clean{500, 80})
				v.Enrolled += 300
			}
		}, func(t *testing.T, row LifeRow) {
			assert.Nil(t, row.Median)
			assert.Nil(t, row.Curve)
			assert.Equal(t, 8, row.Late)
			assert.True(t, strings.HasPrefix(row.Notes[0], "Where the curve first falls, at month 2.0, only 2 patches were followed; the others enrolled later."), row.Notes[0])
		}},
		{"unknown patches are left out and counted", func(y *yard) {
			for i := range 8 {
				y.spent("Cfb", "A", 100+i, 200+i)
			}
			y.vehicle("Cfb", "A")
		}, func(t *testing.T, row LifeRow) {
			assert.Equal(t, 8, row.Patches)
			assert.Equal(t, 8, row.Vehicles)
			assert.Equal(t, 1, row.LeftOut)
		}},
		{"spent at the first reading: open to the left", func(y *yard) {
			for range 8 {
				y.vehicle("Cfb", "A", clean{200, 80})
			}
		}, func(t *testing.T, row LifeRow) {
			assert.Equal(t, 8, row.LeftCensored)
			assert.Zero(t, row.Median.Between.Low)
			assert.InDelta(t, 200/study.DaysPerMonth, row.Median.Between.High, 1e-9)
		}},
		{"nothing known of any patch", func(y *yard) {
			y.vehicle("Cfb", "A")
		}, func(t *testing.T, row LifeRow) {
			assert.Zero(t, row.Patches)
			assert.Contains(t, row.Notes, "Nothing is known of any of its patches yet.")
			assert.Equal(t, "Nothing is known of A yet", row.Finding())
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			y := newYard()
			c.build(y)
			life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
			require.NoError(t, err)
			require.Len(t, life.Rows, 1)
			c.check(t, life.Rows[0])
		})
	}
}

// TestVisitDateBias: all lives end in (100, 200], so the estimate's median is
// 150 by the convention of an even spread, and taking the visit's day says 200.
func TestVisitDateBias(t *testing.T) {
	y := newYard()
	for range 8 {
		y.spent("Cfb", "A", 100, 200)
	}
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions())
	require.NoError(t, err)
	v := life.Rows[0].VisitDate
	require.NotNil(t, v)
	assert.InDelta(t, 200/study.DaysPerMonth, v.MedianMonths, 1e-9)
	assert.InDelta(t, 50/study.DaysPerMonth, v.BiasMonths, 1e-9)
}

// TestCurve: of ten patches five end in (100, 200], the others hold on day 366.
// Nothing tells the curve's course between, and nothing is known later.
func TestCurve(t *testing.T) {
	y := newYard()
	for range 5 {
		y.spent("Cfb", "A", 100, 200)
		y.held("Cfb", "A", 366)
	}
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions())
	require.NoError(t, err)
	curve := life.Rows[0].Curve
	require.Len(t, curve.Stretches, 1)
	s := curve.Stretches[0]
	assert.InDelta(t, 100/study.DaysPerMonth, s.FromMonths, 1e-9)
	assert.InDelta(t, 200/study.DaysPerMonth, s.ToMonths, 1e-9)
	assert.InDelta(t, 1, s.Before, 1e-9)
	assert.InDelta(t, 0.5, s.After, 1e-9)
	assert.InDelta(t, 366/study.DaysPerMonth, curve.EndMonths, 1e-9)
	assert.Equal(t, 10, curve.followed(0))
	assert.Equal(t, 10, curve.followed(6))
	assert.Equal(t, 5, curve.followed(12))
	assert.Equal(t, 0, curve.followed(13))
	for _, p := range curve.Points {
		inside := p.Months > s.FromMonths && p.Months < s.ToMonths
		assert.Equal(t, inside, p.AtLeast < p.AtMost-1e-9, p.Months)
	}
}

func TestControlsHaveNoLife(t *testing.T) {
	y := newYard()
	y.held("Cfb", "A", 100)
	y.vehicle("Cfb", "BARE", clean{100, 75})
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
	require.NoError(t, err)
	require.Len(t, life.Rows, 1)
	assert.Equal(t, Group{Coating: "A"}, life.Rows[0].Group)
}

func TestGroups(t *testing.T) {
	y := madeUpYard(1, 40)
	for _, c := range []struct {
		by          []By
		groups      []Group
		comparisons []string
	}{
		{nil, []Group{{}}, nil},
		{[]By{ByCoating}, []Group{{Coating: "A-1"}, {Coating: "B/2"}}, []string{"coatings"}},
		{[]By{ByClimate}, []Group{{Climate: "BWh"}, {Climate: "Cfb"}}, []string{"climates"}},
		{[]By{ByCoating, ByClimate}, []Group{{"A-1", "BWh"}, {"A-1", "Cfb"}, {"B/2", "BWh"}, {"B/2", "Cfb"}},
			[]string{"climates of A-1", "climates of B/2"}},
	} {
		life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(c.by...))
		require.NoError(t, err)
		var groups []Group
		patches := 0
		for _, row := range life.Rows {
			groups = append(groups, row.Group)
			patches += row.Patches
		}
		assert.Equal(t, c.groups, groups)
		assert.Equal(t, 80, patches)
		var of []string
		for _, comparison := range life.Comparisons {
			of = append(of, comparison.Of)
		}
		assert.Equal(t, c.comparisons, of)
	}
}

func TestLifeRefusesOptions(t *testing.T) {
	for _, c := range []struct {
		options LifeOptions
		says    string
	}{
		{LifeOptions{Level: 95, BootstrapReplicates: 500}, "confidence level 95, expected a number between 0 and 1 such as 0.95"},
		{LifeOptions{Level: math.NaN(), BootstrapReplicates: 500}, "confidence level NaN"},
		{LifeOptions{Level: 0.95, BootstrapReplicates: 38}, "38 bootstrap replicates, expected 39 or more for 95 % limits"},
		{LifeOptions{Level: 0.95, BootstrapReplicates: 500, By: []By{"colour"}}, `split by "colour", expected coating or climate`},
	} {
		_, err := NewLife(t.Context(), nil, c.options)
		require.ErrorIs(t, err, ErrOptions)
		assert.ErrorContains(t, err, c.says)
	}
	options := DefaultLifeOptions()
	options.BootstrapReplicates = 39
	_, err := NewLife(t.Context(), madeUpYard(1, 40).follow(), options)
	assert.NoError(t, err)
}

func TestLifeStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := NewLife(ctx, madeUpYard(1, 40).follow(), DefaultLifeOptions())
	assert.ErrorIs(t, err, context.Canceled)
}

// TestOrderOfFleetDoesNotMatter shuffles a fleet's vehicles: numbers given to
// vehicles change, the table must not.
func TestOrderOfFleetDoesNotMatter(t *testing.T) {
	y := madeUpYard(3, 30)
	options := DefaultLifeOptions(ByCoating)
	options.BootstrapReplicates = 39
	want, err := NewLife(t.Context(), y.follow(), options)
	require.NoError(t, err)
	rapid.Check(t, func(rt *rapid.T) {
		shuffled := y.fleet
		shuffled.Vehicles = rapid.Permutation(y.fleet.Vehicles).Draw(rt, "vehicles")
		got, err := NewLife(t.Context(), shuffled.Follow(atOnce()), options)
		require.NoError(rt, err)
		for i, row := range got.Rows {
			// Limits come from other resamples; the rest is the same but for
			// the last digits, since sums run in another order.
			require.Equal(rt, want.Rows[i].Spent, row.Spent)
			require.InDelta(rt, want.Rows[i].Median.Months, row.Median.Months, 1e-6)
			require.InDelta(rt, want.Rows[i].At12.Share, row.At12.Share, 1e-6)
		}
	})
}

// TestOnlyPatch: one patch is told of as one, and its limits not at all.
func TestOnlyPatch(t *testing.T) {
	y := newYard()
	y.held("Cfb", "A", 61)
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
	require.NoError(t, err)
	assert.Equal(t, "A’s only patch was not spent within 2.0 months. That is too few for an estimate. "+
		"Seen on 1 patch of 1 vehicle, followed for 2.0 months at the longest.", life.Rows[0].Answer())
	for _, note := range life.Notes {
		assert.NotContains(t, note, "Limits are")
	}
	assert.Equal(t, "A has one clean reading, too few for a curve", Decay{Coating: "A", Readings: make([]CleanReading, 1)}.Finding())
}
