package survival_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// apart gives each life a cluster of its own.
func apart(groups [][]Span) [][]Span {
	next := 0
	separate := make([][]Span, len(groups))
	for g, spans := range groups {
		for _, s := range spans {
			separate[g] = append(separate[g], s.OfCluster(next))
			next++
		}
	}
	return separate
}

// Permeability of 10 and 5 membranes: Hollander and Wolfe, Nonparametric
// Statistical Methods (1973), p. 69, as in the documentation of R's wilcox.test,
// W = 35, one-sided p = 0.1272: 382 of the 3,003 ways to choose 5 of 15.
// Wilcoxon's scores of lives all known exactly are ranks.
func TestClusterTestIsTheExactRankSumTest(t *testing.T) {
	exact := func(values ...float64) (spans []Span) {
		for _, v := range values {
			spans = append(spans, Exact(v))
		}
		return spans
	}
	r, err := ClusterTest(t.Context(), apart([][]Span{
		exact(0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46),
		exact(1.15, 0.88, 0.90, 0.74, 1.21),
	}), Relabelling{Scores: Wilcoxon, Replicates: 1})
	require.NoError(t, err)
	assert.True(t, r.Exact)
	assert.Equal(t, 3003, r.Relabellings)
	assert.InDelta(t, 0.2544, r.P, 5e-5)
	assert.Equal(t, 764.0/3003, r.P)
	assert.Zero(t, r.SE)
	assert.Equal(t, 2.0/3003, r.LeastP)
}

// With a life a cluster it is the ordinary score test, and at moderate numbers
// dealing the labels anew says what the large-sample test says.
func TestClusterTestOfLivesApart(t *testing.T) {
	groups := apart([][]Span{visited(80, 1), scaled(visited(60, 2), 0.85), visited(50, 3)})
	for _, scores := range []Scores{Sun, Finkelstein, Wilcoxon} {
		want, err := ScoreTest(groups, scores)
		require.NoError(t, err)
		got, err := ClusterTest(t.Context(), groups, Relabelling{Scores: scores, Replicates: 4999, Seed: 5})
		require.NoError(t, err)
		assert.Equal(t, Whole, got.Layout)
		assert.Equal(t, 190, got.WholeClusters)
		tol := check.Tolerance{Rel: 1e-9, Abs: 1e-12}
		check.Value(t, "chi-square", got.ChiSq, want.ChiSq, tol)
		check.Value(t, "p", got.LargeP, want.P, tol)
		assert.Equal(t, want.DF, got.DF)
		assert.InDeltaSlice(t, want.Sums, got.Sums, 1e-9)
		assert.InDelta(t, want.P, got.P, 4*got.SE+0.01)
	}
}

// clustered simulates vehicles whose patches share a good deal of their fate, a
// number of patches each, dealt to two groups by how.
func clustered(vehicles, patches int, seed uint64, how func(vehicle, patch int) int) [][]Span {
	draw := rand.New(rand.NewPCG(seed, 6))
	groups := make([][]Span, 2)
	for v := range vehicles {
		shared := math.Exp(0.6 * draw.NormFloat64())
		for p := range patches {
			life := 400 * shared * math.Pow(draw.ExpFloat64(), 1/3.0)
			visit := 40 + 20*draw.Float64()
			lower := math.Floor(life/visit) * visit
			s := Between(lower, lower+visit)
			if lower > 700 {
				s = RightCensored(700)
			}
			g := how(v, p)
			groups[g] = append(groups[g], s.OfCluster(v))
		}
	}
	return groups
}

func byVehicle(v, _ int) int { return v % 2 }
func byPatch(_, p int) int   { return p % 2 }
func byBoth(v, p int) int {
	if v%3 == 0 {
		return p % 2
	}
	return v % 2
}

// Twice the same patches on each vehicle tell nothing new, where a test of
// patches believes they do.
func TestDoublingPatchesChangesNothing(t *testing.T) {
	for _, how := range []func(v, p int) int{byVehicle, byPatch, byBoth} {
		groups := clustered(24, 4, 3, how)
		twice := make([][]Span, len(groups))
		for g, spans := range groups {
			twice[g] = append(append(twice[g], spans...), spans...)
		}
		relabelling := Relabelling{Scores: Sun, Replicates: 999, Seed: 1}
		one, err := ClusterTest(t.Context(), groups, relabelling)
		require.NoError(t, err)
		two, err := ClusterTest(t.Context(), twice, relabelling)
		require.NoError(t, err)
		assert.InDelta(t, one.ChiSq, two.ChiSq, 1e-7)
		assert.InDelta(t, one.P, two.P, 1e-9)
		assert.Equal(t, one.WholeClusters, two.WholeClusters)

		naive, err := ScoreTest(groups, Sun)
		require.NoError(t, err)
		louder, err := ScoreTest(twice, Sun)
		require.NoError(t, err)
		assert.InDelta(t, 2, louder.ChiSq/naive.ChiSq, 0.05)
	}
}

func TestClusterTestSeesTheLayout(t *testing.T) {
	test := func(groups [][]Span) *ClusterResult {
		r, err := ClusterTest(t.Context(), groups, Relabelling{Scores: Sun})
		require.NoError(t, err)
		return r
	}
	r := test(clustered(24, 4, 1, byVehicle))
	assert.Equal(t, Whole, r.Layout)
	assert.Equal(t, []int{24, 0, 0}, []int{r.WholeClusters, r.SharedClusters, r.IdleClusters})
	assert.Equal(t, r.LargeP, r.P, "nothing asked for")
	assert.Zero(t, r.Relabellings)

	r = test(clustered(24, 4, 1, byPatch))
	assert.Equal(t, Matched, r.Layout)
	assert.Equal(t, []int{0, 24, 0}, []int{r.WholeClusters, r.SharedClusters, r.IdleClusters})

	r = test(clustered(24, 4, 1, byBoth))
	assert.Equal(t, Mixed, r.Layout)
	assert.Equal(t, []int{16, 8, 0}, []int{r.WholeClusters, r.SharedClusters, r.IdleClusters})

	// Vehicles of one coating alone have nothing to be compared with.
	r = test(clustered(24, 4, 1, func(v, p int) int { return p % 2 * (v % 2) }))
	assert.Equal(t, Matched, r.Layout)
	assert.Equal(t, []int{0, 12, 12}, []int{r.WholeClusters, r.SharedClusters, r.IdleClusters})
	assert.Equal(t, "matched within clusters", r.Layout.String())
}

// Neither the order of lives, nor the numbers of clusters, nor the unit of time
// matters; the order of groups turns signs.
func TestClusterTestInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		how := rapid.SampledFrom([]func(v, p int) int{byVehicle, byPatch, byBoth}).Draw(t, "layout")
		groups := clustered(rapid.IntRange(6, 12).Draw(t, "vehicles"), 3, rapid.Uint64Range(0, 50).Draw(t, "seed"), how)
		relabelling := Relabelling{Scores: Sun, Replicates: 99, Seed: 3}
		want, err := ClusterTest(t.Context(), groups, relabelling)
		require.NoError(t, err)
		other := [][]Span{nil, nil}
		for g := range groups {
			for _, s := range scaled(rapid.Permutation(groups[g]).Draw(t, "lives"), 1e9) {
				other[1-g] = append(other[1-g], s.OfCluster(3*s.Cluster+7))
			}
		}
		got, err := ClusterTest(t.Context(), other, relabelling)
		require.NoError(t, err)
		require.InDelta(t, want.ChiSq, got.ChiSq, 1e-6*(1+want.ChiSq))
		require.InDelta(t, want.Sums[0], got.Sums[1], 1e-6)
		require.InDelta(t, want.LargeP, got.LargeP, 1e-6)
		if want.Exact {
			require.InDelta(t, want.P, got.P, 1e-9)
		}
	})
}

// Nor does the P at random hang on how clusters are numbered.
func TestClusterTestByAnyNumbers(t *testing.T) {
	groups := clustered(30, 3, 4, byBoth)
	other := make([][]Span, 2)
	for g := range groups {
		for _, s := range groups[g] {
			other[g] = append(other[g], s.OfCluster(-s.Cluster))
		}
	}
	relabelling := Relabelling{Scores: Sun, Replicates: 999, Seed: 9}
	want, err := ClusterTest(t.Context(), groups, relabelling)
	require.NoError(t, err)
	require.False(t, want.Exact)
	got, err := ClusterTest(t.Context(), other, relabelling)
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

// Of coatings that do not differ 5 % may be called different at the 5 % level,
// in any layout, however alike the patches of a vehicle are: within four standard
// errors of 400 trials. Testing patches as if each stood alone calls far more.
func TestClusterTestKeepsItsLevel(t *testing.T) {
	const trials = 400
	for name, how := range map[string]func(v, p int) int{"whole": byVehicle, "matched": byPatch, "mixed": byBoth} {
		false05, naive05 := 0, 0
		for seed := range uint64(trials) {
			groups := clustered(16, 4, 1000+seed, how)
			r, err := ClusterTest(t.Context(), groups, Relabelling{Scores: Sun, Replicates: 199, Seed: seed})
			require.NoError(t, err)
			if r.P <= 0.05 {
				false05++
			}
			naive, err := ScoreTest(groups, Sun)
			require.NoError(t, err)
			if naive.P <= 0.05 {
				naive05++
			}
		}
		assert.InDelta(t, 0.05*trials, false05, 4*math.Sqrt(0.05*0.95*trials), name)
		if name == "whole" {
			assert.Greater(t, naive05, trials/5, "the fault that this test is for")
		}
	}
}

func TestClusterTestEdges(t *testing.T) {
	ctx := t.Context()
	// Three shared vehicles: 8 ways, two of them as far out as can be.
	r, err := ClusterTest(ctx, [][]Span{
		{Exact(1), Exact(2).OfCluster(1), Exact(3).OfCluster(2)},
		{Exact(4), Exact(6).OfCluster(1), Exact(9).OfCluster(2)},
	}, Relabelling{Scores: Sun, Replicates: 999})
	require.NoError(t, err)
	assert.Equal(t, 8, r.Relabellings)
	assert.Equal(t, 0.25, r.LeastP)
	assert.Equal(t, 0.25, r.P, "as far out as can be")

	for name, groups := range map[string][][]Span{
		"one cluster each way": {{Exact(1), Exact(3).OfCluster(1)}},
		"scores all alike":     {{RightCensored(3)}, {RightCensored(3).OfCluster(1)}},
		"alike on each vehicle": {
			{Exact(3), Exact(5).OfCluster(1)}, {Exact(3), Exact(5).OfCluster(1)}},
		"one cluster, alike": {{Exact(4), Exact(4)}, {Exact(4)}},
	} {
		_, err := ClusterTest(ctx, groups, Relabelling{Scores: Sun, Replicates: 99})
		assert.ErrorIs(t, err, ErrIncomparable, name)
	}
	_, err = ClusterTest(ctx, [][]Span{{Exact(1)}, nil}, Relabelling{})
	assert.ErrorIs(t, err, ErrNoSpans)
	var bad *SpanError
	_, err = ClusterTest(ctx, [][]Span{{Exact(1)}, {Exact(2), Exact(math.NaN())}}, Relabelling{})
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, 1, bad.Index)
	assert.ErrorContains(t, err, "group 1")
	assert.Panics(t, func() { _, _ = ClusterTest(ctx, nil, Relabelling{Replicates: -1}) })

	stopped, cancel := context.WithCancelCause(ctx)
	cancel(errors.New("enough"))
	_, err = ClusterTest(stopped, clustered(24, 4, 1, byPatch), Relabelling{Replicates: 99})
	assert.ErrorIs(t, err, context.Canceled)
}

// Patients of whom one eye was treated: Huster, Brookmeyer and Self (1989). The
// square of the treatment's coefficient over its cluster-robust error, in a Cox
// model with two covariates that eyes of a patient nearly share (R 4.2.2,
// survival 3.5-3), is another large-sample test of the same: the two agree to
// some per cent, and both see more than a test of eyes apart.
func TestMatchedEyes(t *testing.T) {
	cases := check.Cases(t, "cox")
	c := cases[slices.IndexFunc(cases, func(c check.Case) bool { return c.ID == "cox/retinopathy-clustered" })]
	ch := c.Checks[slices.IndexFunc(c.Checks, func(ch check.Check) bool { return ch.ID == "cluster" })]
	want := check.Decode[struct {
		Coef []float64
		SE   []float64 `json:"robust_se"`
	}](t, ch.Expected)
	groups := make([][]Span, 2)
	treated, time := c.Data.Floats(t, "trt", 0), c.Data.Floats(t, "time", 0)
	status, patient := c.Data.Floats(t, "status", 0), c.Data.Floats(t, "id", 0)
	for i := range time {
		s := RightCensored(time[i])
		if status[i] == 1 {
			s = Exact(time[i])
		}
		g := int(treated[i])
		groups[g] = append(groups[g], s.OfCluster(int(patient[i])))
	}
	r, err := ClusterTest(t.Context(), groups, Relabelling{Scores: Sun})
	require.NoError(t, err)
	assert.Equal(t, Matched, r.Layout)
	assert.Equal(t, 197, r.SharedClusters)
	assert.InEpsilon(t, math.Pow(want.Coef[0]/want.SE[0], 2), r.ChiSq, 0.05)
	assert.Positive(t, r.Sums[0], "untreated eyes fare worse")
	naive, err := LogRank(groups)
	require.NoError(t, err)
	assert.Greater(t, r.ChiSq, 1.1*naive.ChiSq)
}

// Whole weights stand for lives; any weight is taken, since vehicles are what
// is counted.
func TestClusterTestWeighs(t *testing.T) {
	groups := clustered(20, 3, 8, byBoth)
	weighing := func(by float64) [][]Span {
		other := make([][]Span, 2)
		for g, spans := range groups {
			for i, s := range spans {
				other[g] = append(other[g], s.Weighing(by*float64(1+i%2)))
			}
		}
		return other
	}
	repeated := make([][]Span, 2)
	for g, spans := range groups {
		for i, s := range spans {
			for range 1 + i%2 {
				repeated[g] = append(repeated[g], s)
			}
		}
	}
	want, err := ClusterTest(t.Context(), repeated, Relabelling{Scores: Finkelstein})
	require.NoError(t, err)
	for _, by := range []float64{1, 0.3} {
		got, err := ClusterTest(t.Context(), weighing(by), Relabelling{Scores: Finkelstein})
		require.NoError(t, err)
		assert.InDelta(t, want.ChiSq, got.ChiSq, 1e-6)
	}
}
