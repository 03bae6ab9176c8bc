package survival_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// groups splits the spans of a case by its group column, groups sorted by name.
func (in inputs) groups(t *testing.T, d check.Table) (names []string, groups [][]Span) {
	names, strata := in.strata(t, d)
	return names, strata[0]
}

// strata splits the spans of a case by its strata columns and its group column,
// each sorted by name.
func (in inputs) strata(t *testing.T, d check.Table) (names []string, strata [][][]Span) {
	d = d.Complete(t, append(slices.Clone(in.Strata), in.Group)...)
	spans, labels := in.spans(t, d), d.Text(t, in.Group)
	places := make([]string, len(spans))
	for _, column := range in.Strata {
		for i, cell := range d.Text(t, column) {
			places[i] += cell + "|"
		}
	}
	names = slices.Compact(slices.Sorted(slices.Values(labels)))
	at := slices.Compact(slices.Sorted(slices.Values(places)))
	strata = make([][][]Span, len(at))
	for s := range strata {
		strata[s] = make([][]Span, len(names))
	}
	for i, life := range spans {
		s, g := slices.Index(at, places[i]), slices.Index(names, labels[i])
		strata[s][g] = append(strata[s][g], life)
	}
	return names, strata
}

func referenceTurnbull(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct {
		N         float64
		Intervals struct {
			Left, Right []check.Number
			Closed      []bool `json:"left_closed"`
		}
		Mass      []check.Number
		After     []check.Number `json:"survival_after"`
		LogLik    float64
		Unique    bool `json:"unique_masses"`
		Quantiles []struct {
			P           float64 `json:"failure_probability"`
			Left, Right check.Number
			Hit         bool `json:"exact_hit"`
		} `json:"quantile_interval"`
		At []struct {
			Time         float64
			Determined   bool
			Survival     *check.Number
			Lower, Upper *check.Number
		} `json:"survival_at"`
	}](t, ch.Expected)
	tol := *ch.Tolerance
	c, err := Turnbull(in.spans(t, d))
	if err != nil {
		t.Fatal(err)
	}
	if in.Weight == "" { // with weights the reference counts lives
		check.Value(t, "n", float64(c.N), want.N, tol)
	}
	check.Values(t, "left", column(c.Intervals, func(v Interval) float64 { return v.Lower }), want.Intervals.Left, tol)
	check.Values(t, "right", column(c.Intervals, func(v Interval) float64 { return v.Upper }), want.Intervals.Right, tol)
	check.Values(t, "mass", column(c.Intervals, func(v Interval) float64 { return v.Mass }), want.Mass, tol)
	check.Values(t, "after", column(c.Intervals, func(v Interval) float64 { return v.After }), want.After, tol)
	check.Value(t, "log-likelihood", c.LogLik, want.LogLik, tol)
	if c.Unique != want.Unique {
		t.Errorf("unique: got %v, want %v", c.Unique, want.Unique)
	}
	for i, v := range c.Intervals {
		if v.Exact != want.Intervals.Closed[i] {
			t.Errorf("interval %d: exact is %v, want %v", i, v.Exact, want.Intervals.Closed[i])
		}
	}
	for _, w := range want.Quantiles {
		q := c.Quantile(w.P)
		check.Value(t, "quantile from", q.Lower, float64(w.Left), tol)
		check.Value(t, "quantile to", q.Upper, float64(w.Right), tol)
		if q.Flat != w.Hit {
			t.Errorf("quantile %v: flat is %v, want %v", w.P, q.Flat, w.Hit)
		}
	}
	for _, w := range want.At {
		at := c.At(w.Time)
		if at.Determined != w.Determined {
			t.Errorf("S(%v): determined is %v, want %v", w.Time, at.Determined, w.Determined)
		}
		if w.Determined {
			check.Value(t, "S", at.Survival, float64(*w.Survival), tol)
		} else {
			check.Value(t, "S from", at.Lower, float64(*w.Lower), tol)
			check.Value(t, "S to", at.Upper, float64(*w.Upper), tol)
		}
	}
}

// rankWeights are the reference's names of weights.
func rankWeights() map[string]RankWeight {
	return map[string]RankWeight{
		"logrank":        nil,
		"gehan":          Gehan,
		"tarone-ware":    TaroneWare,
		"peto-modified":  PetoModified,
		"peto-andersen":  PetoAndersen,
		"fh-rho1":        RhoGamma(1, 0),
		"fh-rho0.5":      RhoGamma(0.5, 0),
		"fh-rho0-gamma1": RhoGamma(0, 1),
	}
}

func referenceLogRank(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct {
		Groups             []string
		Observed, Expected []check.Number
		Sums               []check.Number `json:"weighted_o_minus_e"`
		Variance           [][]check.Number
		ChiSq              float64
		DF                 int
		P                  float64 `json:"p_value"`
		Trend              *struct {
			Scores             []float64
			U, Variance, ChiSq float64
			P                  float64 `json:"p_value"`
		}
	}](t, ch.Expected)
	tol := *ch.Tolerance
	names, strata := in.strata(t, d)
	if !slices.Equal(names, want.Groups) {
		t.Fatalf("groups: got %v, want %v", names, want.Groups)
	}
	weight, known := rankWeights()[in.RankWeight]
	if !known {
		t.Fatalf("no rank weight %q", in.RankWeight)
	}
	r, err := WeightedLogRank(weight, strata...)
	if err != nil {
		t.Fatal(err)
	}
	check.Values(t, "observed", r.Observed, want.Observed, tol)
	check.Values(t, "expected", r.Expected, want.Expected, tol)
	check.Values(t, "sums", r.Sums, want.Sums, tol)
	for g := range names {
		check.Values(t, "variance", r.Variance[g], want.Variance[g], tol)
	}
	check.Value(t, "chi-square", r.ChiSq, want.ChiSq, tol)
	check.Value(t, "df", float64(r.DF), float64(want.DF), tol)
	check.Value(t, "p", r.P, want.P, tol)
	if w := want.Trend; w != nil {
		trend, err := r.Trend(w.Scores)
		if err != nil {
			t.Fatal(err)
		}
		check.Value(t, "trend", trend.Sum, w.U, tol)
		check.Value(t, "its variance", trend.Variance, w.Variance, tol)
		check.Value(t, "its chi-square", trend.ChiSq, w.ChiSq, tol)
		check.Value(t, "its p", trend.P, w.P, tol)
	}
}

func referencePairwise(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct {
		Pairs []struct {
			A, B  string
			ChiSq float64
			P     float64 `json:"p_value"`
		}
		Holm []float64 `json:"p_holm"`
	}](t, ch.Expected)
	names, strata := in.strata(t, d)
	pairs, err := PairwiseLogRank(nil, strata...)
	if err != nil {
		t.Fatal(err)
	}
	if len(pairs) != len(want.Pairs) {
		t.Fatalf("%d pairs, want %d", len(pairs), len(want.Pairs))
	}
	for i, w := range want.Pairs {
		got := pairs[i]
		if names[got.A] != w.A || names[got.B] != w.B {
			t.Fatalf("pair %d: got %s and %s, want %s and %s", i, names[got.A], names[got.B], w.A, w.B)
		}
		what := strings.Join([]string{w.A, w.B}, " and ")
		check.Value(t, what+": chi-square", got.ChiSq, w.ChiSq, *ch.Tolerance)
		check.Value(t, what+": p", got.P, w.P, *ch.Tolerance)
		check.Value(t, what+": adjusted p", got.Adjusted, want.Holm[i], *ch.Tolerance)
	}
}

func referenceScoreTest(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct {
		Groups   []string
		Sums     []check.Number   `json:"centred_score_sum"`
		Raw      []check.Number   `json:"score_sum"`
		Variance [][]check.Number `json:"permutation_variance"`
		ChiSq    float64
		DF       int
		P        float64        `json:"p_value"`
		First    []check.Number `json:"scores_first_rows"` // in the order of the file
		Z        *float64       `json:"z_first_group"`
		Permuted *struct {
			P  float64 `json:"p_value"`
			SE float64 `json:"monte_carlo_se"`
		} `json:"permutation_p"`
	}](t, ch.Expected)
	tol := *ch.Tolerance
	names, groups := in.groups(t, d)
	if !slices.Equal(names, want.Groups) {
		t.Fatalf("groups: got %v, want %v", names, want.Groups)
	}
	kind := map[string]Scores{"finkelstein": Finkelstein, "sun": Sun, "wmw": Wilcoxon}[in.Scores]
	r, err := ScoreTest(groups, kind)
	if err != nil {
		t.Fatal(err)
	}
	raw := make([]float64, len(groups))
	for g, scores := range r.Scores {
		for _, c := range scores {
			raw[g] += c
		}
		check.Values(t, "variance", r.Variance[g], want.Variance[g], tol)
	}
	check.Values(t, "score sums", raw, want.Raw, tol)
	check.Values(t, "centred sums", r.Sums, want.Sums, tol)
	check.Value(t, "chi-square", r.ChiSq, want.ChiSq, tol)
	check.Value(t, "df", float64(r.DF), float64(want.DF), tol)
	check.Value(t, "p", r.P, want.P, tol)
	if want.Z != nil {
		check.Value(t, "z", r.Sums[0]/math.Sqrt(r.Variance[0][0]), *want.Z, tol)
	}
	if w := want.Permuted; w != nil { // both at random
		cluster, err := ClusterTest(t.Context(), apart(groups), Relabelling{Scores: kind, Replicates: 19999, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		check.Value(t, "permutation p", cluster.P, w.P, check.Tolerance{Abs: 4 * math.Hypot(cluster.SE, w.SE)})
	}
	next := make([]int, len(groups))
	var first []float64
	for _, name := range d.Text(t, in.Group)[:len(want.First)] {
		g := slices.Index(names, name)
		first = append(first, r.Scores[g][next[g]])
		next[g]++
	}
	check.Values(t, "first scores", first, want.First, tol)
}
