package cox_test

import (
	"fmt"
	"slices"
	"testing"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/cox"
)

// inputs of a check.
type inputs struct {
	Time, Status, Entry, Weight, Cluster, Ties string
	X, Strata                                  []string
}

type test struct {
	ChiSq check.Number
	DF    int
	P     check.Number `json:"p_value"`
}

// robustTest has a 1 × 1 matrix for a number where there is one covariate.
type robustTest struct {
	ChiSq any
	DF    int
	P     any `json:"p_value"`
}

type hazardTest struct {
	ChiSq []check.Number
	DF    []int
	P     []check.Number `json:"p_value"`
}

// expected numbers of a check; absent ones were not computed for it.
type expected struct {
	N, Events   int
	Coef, SE    []check.Number
	Vcov        [][]check.Number
	LogLikNull  float64          `json:"loglik_null"`
	LogLik      float64          `json:"loglik"`
	LR          test             `json:"lr_test"`
	Wald        test             `json:"wald_test_model_based"`
	Score       test             `json:"score_test"`
	RobustSE    []check.Number   `json:"robust_se"`
	RobustVcov  [][]check.Number `json:"robust_vcov"`
	RobustWald  *test            `json:"wald_test_robust"`
	RobustScore *robustTest      `json:"score_test_robust"`
	Concordance *struct {
		C, SE, Concordant, Discordant float64
		TiedX                         float64 `json:"tied_x"`
		TiedY                         float64 `json:"tied_y"`
		TiedXY                        float64 `json:"tied_xy"`
	}
	KM        *hazardTest `json:"ph_test_km"`
	Identity  *hazardTest `json:"ph_test_identity"`
	Rank      *hazardTest `json:"ph_test_rank"`
	Predicted *struct {
		X        map[string]float64
		Times    []float64
		Survival []check.Number
		SE       []check.Number `json:"se_survival"`
		Hazard   []check.Number `json:"cumhaz"`
		LowerLog []check.Number `json:"lower_log"`
		UpperLog []check.Number `json:"upper_log"`
		Strata   map[string]float64
	} `json:"predicted_survival"`
}

// TestReference runs every check of the reference cases of Cox regression:
// numbers of other software, with sources in testdata/reference.
func TestReference(t *testing.T) {
	for _, c := range check.Cases(t, "cox") {
		for _, ch := range c.Checks {
			t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
				if ch.Method != "cox" {
					t.Fatalf("no test for method %q", ch.Method)
				}
				in := check.Decode[inputs](t, ch.Inputs)
				want := check.Decode[expected](t, ch.Expected)
				data, d := in.data(t, c.Data)
				m, err := Fit(data, map[string]Ties{"efron": Efron, "breslow": Breslow, "exact": Exact}[in.Ties])
				if err != nil {
					t.Fatal(err)
				}
				compareFit(t, m, want, *ch.Tolerance)
				compareRobust(t, m, want, *ch.Tolerance)
				compareConcordance(t, m, want, *ch.Tolerance)
				compareProportional(t, m, KM, want.KM, *ch.Tolerance)
				compareProportional(t, m, Identity, want.Identity, *ch.Tolerance)
				compareProportional(t, m, Rank, want.Rank, *ch.Tolerance)
				comparePredicted(t, m, in, d, want, *ch.Tolerance)
			})
		}
	}
}

// data reads the rows that have something in each column asked for.
func (in inputs) data(t *testing.T, table check.Table) (Data, check.Table) {
	t.Helper()
	needed := slices.Concat([]string{in.Time, in.Status}, in.X, in.Strata)
	for _, name := range []string{in.Entry, in.Weight, in.Cluster} {
		if name != "" {
			needed = append(needed, name)
		}
	}
	table = table.Complete(t, needed...)
	d := Data{Covariates: len(in.X), Names: in.X, Stop: table.Floats(t, in.Time, 0)}
	for _, status := range table.Floats(t, in.Status, 0) {
		d.Event = append(d.Event, status == 1)
	}
	columns := make([][]float64, len(in.X))
	for j, name := range in.X {
		columns[j] = table.Floats(t, name, 0)
	}
	for i := range d.Stop {
		for j := range columns {
			d.X = append(d.X, columns[j][i])
		}
	}
	if in.Entry != "" {
		d.Start = table.Floats(t, in.Entry, 0)
	}
	if in.Weight != "" {
		d.Weight = table.Floats(t, in.Weight, 0)
	}
	if in.Cluster != "" {
		d.Cluster = labels(table.Text(t, in.Cluster))
	}
	if len(in.Strata) == 1 {
		d.Stratum = labels(table.Text(t, in.Strata[0]))
	}
	return d, table
}

// labels numbers texts by their first appearance.
func labels(texts []string) []int {
	var known []string
	numbers := make([]int, len(texts))
	for i, text := range texts {
		if !slices.Contains(known, text) {
			known = append(known, text)
		}
		numbers[i] = slices.Index(known, text)
	}
	return numbers
}

func compareFit(t *testing.T, m *Model, want expected, tol check.Tolerance) {
	t.Helper()
	check.Value(t, "n", float64(m.N), float64(want.N), tol)
	check.Value(t, "events", float64(m.Events), float64(want.Events), tol)
	var values, errors []float64
	for j, c := range m.Coefficients {
		values, errors = append(values, c.Value), append(errors, c.SE)
		check.Values(t, "covariance", m.Covariance[j], want.Vcov[j], tol)
	}
	check.Values(t, "coefficients", values, want.Coef, tol)
	check.Values(t, "standard errors", errors, want.SE, tol)
	check.Value(t, "log-likelihood at 0", m.LogLikNull, want.LogLikNull, tol)
	check.Value(t, "log-likelihood", m.LogLik, want.LogLik, tol)
	compareTest(t, "likelihood ratio", m.LikelihoodRatio, want.LR, tol)
	compareTest(t, "wald", m.Wald, want.Wald, tol)
	compareTest(t, "score", m.Score, want.Score, tol)
}

func compareTest(t *testing.T, what string, got Test, want test, tol check.Tolerance) {
	t.Helper()
	check.Value(t, what+" chi-square", got.ChiSq, float64(want.ChiSq), tol)
	check.Value(t, what+" df", float64(got.DF), float64(want.DF), tol)
	check.Value(t, what+" p", got.P, float64(want.P), tol)
}

func compareRobust(t *testing.T, m *Model, want expected, tol check.Tolerance) {
	t.Helper()
	if want.RobustSE == nil {
		return
	}
	var errors []float64
	for j, c := range m.Coefficients {
		errors = append(errors, c.RobustSE)
		check.Values(t, "robust covariance", m.RobustCovariance[j], want.RobustVcov[j], tol)
	}
	check.Values(t, "robust standard errors", errors, want.RobustSE, tol)
	compareTest(t, "robust wald", m.RobustWald, *want.RobustWald, tol)
	score := test{check.Number(only(t, want.RobustScore.ChiSq)), want.RobustScore.DF, check.Number(only(t, want.RobustScore.P))}
	compareTest(t, "robust score", m.RobustScore, score, tol)
}

// only is a number, or the one in a 1 × 1 matrix.
func only(t *testing.T, x any) float64 {
	t.Helper()
	for {
		switch v := x.(type) {
		case float64:
			return v
		case []any:
			x = v[0]
		default:
			t.Fatalf("neither a number nor a matrix: %v", x)
		}
	}
}

func compareConcordance(t *testing.T, m *Model, want expected, tol check.Tolerance) {
	t.Helper()
	if want.Concordance == nil {
		return
	}
	got := m.Concordance()
	check.Value(t, "C", got.C, want.Concordance.C, tol)
	check.Value(t, "SE of C", got.SE, want.Concordance.SE, tol)
	check.Value(t, "concordant", got.Concordant, want.Concordance.Concordant, tol)
	check.Value(t, "discordant", got.Discordant, want.Concordance.Discordant, tol)
	check.Value(t, "tied in hazard", got.TiedRisk, want.Concordance.TiedX, tol)
	check.Value(t, "tied in time", got.TiedTime, want.Concordance.TiedY, tol)
	check.Value(t, "tied in both", got.TiedBoth, want.Concordance.TiedXY, tol)
}

func compareProportional(t *testing.T, m *Model, g Transform, want *hazardTest, tol check.Tolerance) {
	t.Helper()
	if want == nil {
		return
	}
	got, err := m.ProportionalHazards(g)
	if err != nil {
		t.Fatal(err)
	}
	for j, term := range append(got.Terms, got.Global) {
		compareTest(t, "proportional hazards", term, test{want.ChiSq[j], want.DF[j], want.P[j]}, tol)
	}
}

func comparePredicted(t *testing.T, m *Model, in inputs, d check.Table, want expected, tol check.Tolerance) {
	t.Helper()
	w := want.Predicted
	if w == nil {
		return
	}
	asked := Asked{Times: w.Times, Level: 0.95, Scale: survival.Log}
	for _, name := range in.X {
		asked.X = append(asked.X, w.X[name])
	}
	for name, value := range w.Strata {
		texts := d.Text(t, name)
		asked.Stratum = labels(texts)[slices.Index(texts, fmt.Sprint(value))]
	}
	got, err := m.Predict(asked)
	if err != nil {
		t.Fatal(err)
	}
	pick := func(of func(Predicted) float64) []float64 {
		numbers := make([]float64, len(got))
		for i, p := range got {
			numbers[i] = of(p)
		}
		return numbers
	}
	check.Values(t, "cumulative hazard", pick(func(p Predicted) float64 { return p.Hazard }), w.Hazard, tol)
	check.Values(t, "survival", pick(func(p Predicted) float64 { return p.Survival }), w.Survival, tol)
	check.Values(t, "SE of survival", pick(func(p Predicted) float64 { return p.SurvivalSE }), w.SE, tol)
	check.Values(t, "lower", pick(func(p Predicted) float64 { return p.Lower }), w.LowerLog, tol)
	check.Values(t, "upper", pick(func(p Predicted) float64 { return p.Upper }), w.UpperLog, tol)
}
