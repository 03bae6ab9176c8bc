package survival_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// caseData is the data of one of the reference cases of a topic.
func caseData(t *testing.T, topic, id string) check.Table {
	t.Helper()
	for _, c := range check.Cases(t, topic) {
		if c.ID == topic+"/"+id {
			return c.Data
		}
	}
	require.FailNow(t, "no such case", id)
	return check.Table{}
}

// numbered gives each span a cluster of its own, from first on.
func numbered(first int, spans []Span) []Span {
	for i := range spans {
		spans[i] = spans[i].OfCluster(first + i)
	}
	return spans
}

// The lung cancer data by sex, up to 500 days: the reference (R 4.2.2, survfit)
// has means of 360.911 (SE 16.801) and 278.763 (14.355). With a life a cluster
// the difference is theirs, and the bootstrap's error comes near √(16.801² +
// 14.355²): 1,000 replicates leave it 2 % of chance, and Greenwood's formula is
// itself an approximation.
func TestCompareMeansOfLungCancer(t *testing.T) {
	t.Parallel()
	d := caseData(t, "kaplan-meier", "lung")
	of := func(sex, first int) []Span {
		return numbered(first, inputs{Time: "time", Status: "status"}.spans(t, d.Where(t, map[string]any{"sex": float64(sex)})))
	}
	how := MeanResampling{Tau: 500, Level: 0.95, Replicates: 1000, Seed: 1}
	c, err := CompareMeans(t.Context(), how, [][]Span{of(2, 0), of(1, 1000)})
	require.NoError(t, err)
	tol := check.Tolerance{Rel: 1e-8}
	check.Value(t, "mean of women", c.Means[0], 360.91095419546645, tol)
	check.Value(t, "mean of men", c.Means[1], 278.76323152999436, tol)
	check.Value(t, "difference", c.Difference, 360.91095419546645-278.76323152999436, tol)
	assert.InEpsilon(t, math.Hypot(16.801018168693957, 14.354558566712331), c.SE, 0.07)
	assert.Equal(t, [2]int{90, 138}, c.Clusters)
	assert.InDelta(t, 0, c.Open.Upper-c.Open.Lower, 1e-9, "ends are known to the day")
	// Student's t on 89 degrees of freedom, from R: qt(0.975, 89).
	assert.InEpsilon(t, 1.98697869951, (c.Upper-c.Difference)/c.SE, 1e-8)
	assert.InEpsilon(t, 1.98697869951, (c.Difference-c.Lower)/c.SE, 1e-8)
}

// Where all ends are known the difference is a coefficient of least squares. R
// 4.2.2: lm(pmin(time, 180) ~ factor(trt) + factor(celltype)) of the veterans, the
// days of those who left taken for ends, gives −14.8255160620496 for treatment 2.
func TestCompareMeansWithinStrataIsLeastSquares(t *testing.T) {
	t.Parallel()
	d := caseData(t, "kaplan-meier", "veteran")
	var strata [][][]Span
	for _, cell := range []string{"squamous", "smallcell", "adeno", "large"} {
		var groups [][]Span
		for trt := range 2 {
			var spans []Span
			for _, days := range d.Where(t, map[string]any{"celltype": cell, "trt": float64(trt + 1)}).Floats(t, "time", 0) {
				spans = append(spans, Exact(days).OfCluster(len(strata)*1000+trt*100+len(spans)))
			}
			groups = append(groups, spans)
		}
		strata = append(strata, groups)
	}
	only := []Span{Exact(1e4).OfCluster(9999), Exact(1).OfCluster(9998)} // nobody to be compared with
	strata = append(strata, [][]Span{only, nil})
	c, err := CompareMeans(t.Context(), MeanResampling{Tau: 180, Level: 0.95, Replicates: 10, Seed: 1}, strata...)
	require.NoError(t, err)
	check.Value(t, "difference", c.Difference, 14.8255160620496049, check.Tolerance{Rel: 1e-10})
	assert.Equal(t, [2]int{69, 68}, c.Clusters)
}

// Darwin's maize (1876), as Fisher analysed it: heights in inches of 15 pairs of
// plants, crossed and self-fertilised. The mean difference is 2.617, its standard
// error 1.218, t = 2.148 (data from memory; they give the t that is widely
// printed). The bootstrap divides by 15 where that error divides by 14. Had the
// plants not been told to share pots, the error would be larger or smaller by
// what pots make alike.
func TestCompareMeansOfPairs(t *testing.T) {
	t.Parallel()
	crossed := []float64{23.5, 12, 21, 22, 19.125, 21.5, 22.125, 20.375, 18.25, 21.625, 23.25, 21, 22.125, 23, 12}
	selfed := []float64{17.375, 20.375, 20, 20, 18.375, 18.625, 18.625, 15.25, 16.5, 18, 16.25, 18, 12.75, 15.5, 18}
	spansOf := func(inches []float64) (spans []Span) {
		for pot, x := range inches {
			spans = append(spans, Exact(x).OfCluster(pot))
		}
		return spans
	}
	how := MeanResampling{Tau: 30, Level: 0.95, Replicates: 4000, Seed: 3}
	c, err := CompareMeans(t.Context(), how, [][]Span{spansOf(crossed), spansOf(selfed)})
	require.NoError(t, err)
	assert.InDelta(t, 2.6166666666666667, c.Difference, 1e-12)
	assert.InEpsilon(t, 1.2181945722556047*math.Sqrt(14.0/15), c.SE, 0.04)
	assert.Equal(t, [2]int{15, 15}, c.Clusters)
	student := distuv.StudentsT{Sigma: 1, Nu: 14}
	assert.InEpsilon(t, student.Quantile(0.975)*c.SE, c.Upper-c.Difference, 1e-9)

	// A life seen three times is no more than one.
	threefold := func(spans []Span) []Span { return slices.Concat(spans, spans, spans) }
	c3, err := CompareMeans(t.Context(), how, [][]Span{threefold(spansOf(crossed)), threefold(spansOf(selfed))})
	require.NoError(t, err)
	assert.InEpsilon(t, c.SE, c3.SE, 1e-9)

	// Drawing fewer clusters a time gives about the same error.
	how.Most = 8
	fewer, err := CompareMeans(t.Context(), how, [][]Span{spansOf(crossed), spansOf(selfed)})
	require.NoError(t, err)
	assert.Equal(t, 8, fewer.ClustersDrawn)
	assert.InEpsilon(t, c.SE, fewer.SE, 0.05)
}

// twoGroups draws visited lives of two groups in two strata, on vehicles that
// may carry both.
func twoGroups(t *rapid.T) [][][]Span {
	strata := [][][]Span{{nil, nil}, {nil, nil}}
	for vehicle := range rapid.IntRange(8, 20).Draw(t, "vehicles") {
		s := rapid.IntRange(0, 1).Draw(t, "stratum")
		for patch := range rapid.IntRange(1, 3).Draw(t, "patches") {
			g := (vehicle + patch) % 2
			held := float64(rapid.IntRange(1, 30).Draw(t, "held"))
			span := Between(held, held+float64(rapid.IntRange(1, 9).Draw(t, "gap")))
			if rapid.IntRange(0, 3).Draw(t, "holds") == 0 {
				span = RightCensored(held + 10)
			}
			strata[s][g] = append(strata[s][g], span.OfCluster(vehicle))
		}
	}
	return strata
}

// Exchanging the groups turns the sign; another unit of time scales all.
func TestCompareMeansProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		strata := twoGroups(t)
		how := MeanResampling{Tau: 5, Level: 0.9, Replicates: 20, Seed: 5}
		c, err := CompareMeans(t.Context(), how, strata...)
		if err != nil {
			require.True(t, isAny(err, ErrIncomparable, ErrReplicates, ErrUnseen, ErrClusters), "%v", err)
			return
		}
		require.LessOrEqual(t, c.Open.Lower, c.Difference+1e-9)
		require.GreaterOrEqual(t, c.Open.Upper, c.Difference-1e-9)
		require.InDelta(t, c.Means[0]-c.Means[1], c.Difference, 1e-12)

		var turned, scaled [][][]Span
		for _, groups := range strata {
			turned = append(turned, [][]Span{groups[1], groups[0]})
			in := make([][]Span, 2)
			for g, spans := range groups {
				for _, s := range spans {
					in[g] = append(in[g], Between(30.4375*s.Lower, 30.4375*s.Upper).OfCluster(s.Cluster))
				}
			}
			scaled = append(scaled, in)
		}
		back, err := CompareMeans(t.Context(), how, turned...)
		require.NoError(t, err)
		require.InDelta(t, -c.Difference, back.Difference, 1e-9)
		require.Equal(t, [2]int{c.Clusters[1], c.Clusters[0]}, back.Clusters)
		how.Tau *= 30.4375
		days, err := CompareMeans(t.Context(), how, scaled...)
		require.NoError(t, err)
		require.InDelta(t, 30.4375*c.Difference, days.Difference, 1e-6)
		if !math.IsNaN(c.SE) {
			require.InDelta(t, c.SE, back.SE, 1e-6)
			require.InDelta(t, 30.4375*c.SE, days.SE, 1e-4)
			require.InDelta(t, -c.Lower, back.Upper, 1e-5)
		}
	})
}

func isAny(err error, targets ...error) bool {
	return slices.ContainsFunc(targets, func(target error) bool { return errors.Is(err, target) })
}

func TestCompareMeansRefuses(t *testing.T) {
	t.Parallel()
	a := []Span{Between(1, 3).OfCluster(1), Between(4, 6).OfCluster(2), RightCensored(9).OfCluster(3)}
	b := []Span{Between(2, 4).OfCluster(4), Between(5, 7).OfCluster(5), RightCensored(8).OfCluster(6)}
	how := MeanResampling{Tau: 7, Level: 0.95, Replicates: 40, Seed: 1}
	with := func(change func(*MeanResampling)) MeanResampling {
		changed := how
		change(&changed)
		return changed
	}
	_, err := CompareMeans(t.Context(), how, [][]Span{a, b})
	require.NoError(t, err)
	for name, c := range map[string]struct {
		how    MeanResampling
		strata [][][]Span
		want   error
	}{
		"no time":           {with(func(h *MeanResampling) { h.Tau = 0 }), [][][]Span{{a, b}}, ErrHorizon},
		"for ever":          {with(func(h *MeanResampling) { h.Tau = math.Inf(1) }), [][][]Span{{a, b}}, ErrHorizon},
		"past the sight":    {with(func(h *MeanResampling) { h.Tau = 8.5 }), [][][]Span{{a, b}}, ErrUnseen},
		"level":             {with(func(h *MeanResampling) { h.Level = 1 }), [][][]Span{{a, b}}, ErrLevel},
		"replicates":        {with(func(h *MeanResampling) { h.Replicates = 9 }), [][][]Span{{a, b}}, ErrReplicates},
		"nothing":           {how, nil, ErrNoSpans},
		"one group":         {how, [][][]Span{{a}}, ErrIncomparable},
		"nothing in common": {how, [][][]Span{{a, nil}, {nil, b}}, ErrIncomparable},
		"one vehicle":       {how, [][][]Span{{a, b[:1]}}, ErrClusters},
	} {
		_, err := CompareMeans(t.Context(), c.how, c.strata...)
		assert.ErrorIs(t, err, c.want, name)
	}
	var bad *SpanError
	_, err = CompareMeans(t.Context(), how, [][]Span{a, {Between(3, 1)}})
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, 3, bad.Index)
	ended, stop := context.WithCancel(t.Context())
	stop()
	_, err = CompareMeans(ended, how, [][]Span{a, b})
	assert.ErrorIs(t, err, context.Canceled)
}
