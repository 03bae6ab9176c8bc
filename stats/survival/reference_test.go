package survival_test

import (
	"math"
	"slices"
	"testing"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// later lists the checks of the reference that this package does not attempt,
// by what their inputs ask for, with the reason. Anything else must pass.
func later(method string, in inputs) string {
	switch {
	case method == "pairwise_logrank":
		return "adjustment over many pairs is not offered"
	case method == "logrank" && in.RankWeight != "logrank":
		return "rank weights other than the log-rank's are not offered"
	case method == "logrank" && len(in.Strata) > 0:
		return "strata are not offered"
	}
	return ""
}

// inputs of a check, as far as this package's methods have them.
type inputs struct {
	Time, Status, Left, Right, Entry, Group, Weight, Scores string
	RankWeight                                              string `json:"rank_weight"`
	Strata                                                  []string
	Subset                                                  map[string]any
	Level                                                   float64 `json:"conf_level"`
	At                                                      float64
}

// TestReference runs every check of the reference cases of a topic: numbers of
// other software, with sources in testdata/reference.
func TestReference(t *testing.T) {
	methods := map[string]func(*testing.T, check.Table, inputs, check.Check){
		"km":            referenceKaplanMeier,
		"km_at":         referenceAt,
		"npmle":         referenceTurnbull,
		"logrank":       referenceLogRank,
		"ic_score_test": referenceScoreTest,
	}
	for _, topic := range []string{"kaplan-meier", "npmle"} {
		for _, c := range check.Cases(t, topic) {
			for _, ch := range c.Checks {
				t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
					in := check.Decode[inputs](t, ch.Inputs)
					if reason := later(ch.Method, in); reason != "" {
						t.Skip(reason)
					}
					run := methods[ch.Method]
					if run == nil {
						t.Fatalf("no test for method %q", ch.Method)
					}
					data := c.Data.Where(t, in.Subset)
					run(t, data, in, ch)
				})
			}
		}
	}
}

// spans reads the lives of a case: time and status, or left and right.
func (in inputs) spans(t *testing.T, d check.Table) []Span {
	var entry []float64
	if in.Entry != "" {
		entry = d.Floats(t, in.Entry, 0)
	}
	spans := make([]Span, d.Len())
	if in.Time != "" {
		time, status := d.Floats(t, in.Time, 0), d.Floats(t, in.Status, 0)
		for i := range spans {
			spans[i] = RightCensored(time[i])
			if status[i] == 1 {
				spans[i] = Exact(time[i])
			}
		}
	} else {
		left, right := d.Floats(t, in.Left, 0), d.Floats(t, in.Right, math.Inf(1))
		for i := range spans {
			spans[i] = Between(left[i], right[i])
		}
	}
	for i := range entry {
		spans[i] = spans[i].EnteredAt(entry[i])
	}
	if in.Weight != "" {
		for i, w := range d.Floats(t, in.Weight, 0) {
			spans[i] = spans[i].Weighing(w)
		}
	}
	return spans
}

// groups splits the spans of a case by its group column, groups sorted by name.
func (in inputs) groups(t *testing.T, d check.Table) (names []string, groups [][]Span) {
	d = d.Complete(t, in.Group)
	spans, labels := in.spans(t, d), d.Text(t, in.Group)
	names = slices.Compact(slices.Sorted(slices.Values(labels)))
	groups = make([][]Span, len(names))
	for i, s := range spans {
		g := slices.Index(names, labels[i])
		groups[g] = append(groups[g], s)
	}
	return names, groups
}

// column picks one number from each element of a slice.
func column[T any](rows []T, pick func(T) float64) []float64 {
	numbers := make([]float64, len(rows))
	for i, r := range rows {
		numbers[i] = pick(r)
	}
	return numbers
}

// reached turns what was not reached, +Inf here, into the reference's null.
func reached(t float64) float64 {
	if math.IsInf(t, 1) {
		return math.NaN()
	}
	return t
}

func referenceAt(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct{ Survival float64 }](t, ch.Expected)
	curve, err := KaplanMeier(in.spans(t, d), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	check.Value(t, "S", curve.At(in.At).Survival, want.Survival, *ch.Tolerance)
}
func referenceTurnbull(t *testing.T, d check.Table, in inputs, ch check.Check) {}

func referenceLogRank(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct {
		Groups             []string
		Observed, Expected []check.Number
		Variance           [][]check.Number
		ChiSq              float64
		DF                 int
		P                  float64 `json:"p_value"`
	}](t, ch.Expected)
	tol := *ch.Tolerance
	names, groups := in.groups(t, d)
	if !slices.Equal(names, want.Groups) {
		t.Fatalf("groups: got %v, want %v", names, want.Groups)
	}
	r, err := LogRank(groups)
	if err != nil {
		t.Fatal(err)
	}
	check.Values(t, "observed", r.Observed, want.Observed, tol)
	check.Values(t, "expected", r.Expected, want.Expected, tol)
	for g := range groups {
		check.Values(t, "variance", r.Variance[g], want.Variance[g], tol)
	}
	check.Value(t, "chi-square", r.ChiSq, want.ChiSq, tol)
	check.Value(t, "df", float64(r.DF), float64(want.DF), tol)
	check.Value(t, "p", r.P, want.P, tol)
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
	next := make([]int, len(groups))
	var first []float64
	for _, name := range d.Text(t, in.Group)[:len(want.First)] {
		g := slices.Index(names, name)
		first = append(first, r.Scores[g][next[g]])
		next[g]++
	}
	check.Values(t, "first scores", first, want.First, tol)
}
