package mixed

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/internal/check"
)

type lmeInputs struct {
	Response   string    `json:"response"`
	Fixed      []string  `json:"fixed"`
	Group      string    `json:"group"`
	Random     []string  `json:"random"`
	Correlated bool      `json:"correlated"`
	Criterion  Criterion `json:"criterion"`
}

// mixedExpected is what both kinds of checks expect.
type mixedExpected struct {
	N          int              `json:"n"`
	Groups     int              `json:"groups"`
	Fixed      []check.Number   `json:"fixed"`
	SE         []check.Number   `json:"se_fixed"`
	VCov       [][]check.Number `json:"vcov_fixed"`
	Random     [][]check.Number `json:"random_covariance"`
	ResidualSD float64          `json:"residual_sd"`
	LogLik     float64          `json:"loglik"`
	AIC        float64          `json:"aic"`
	BIC        float64          `json:"bic"`
	BICTotal   float64          `json:"bic_n_total"`
	Singular   bool             `json:"singular"`
	BLUPs      []struct {
		Group  string         `json:"group"`
		Effect []check.Number `json:"random_effect"`
	} `json:"blups"`
	Exact *exactExpected `json:"exact_marginal_likelihood"`
}

type exactExpected struct {
	Fixed      []check.Number `json:"fixed"`
	SE         []check.Number `json:"se_fixed"`
	RandomSD   float64        `json:"random_sd"`
	ResidualSD float64        `json:"residual_sd"`
	LogLik     float64        `json:"loglik"`
}

// mixedChecks runs a test for each check of a method under
// testdata/reference/mixed-effects, whose README says where data and numbers
// are from.
func mixedChecks(t *testing.T, method string, want int, run func(t *testing.T, data check.Table, ch check.Check, want mixedExpected)) {
	done := 0
	for _, c := range check.Cases(t, "mixed-effects") {
		for _, ch := range c.Checks {
			if ch.Method != method {
				continue
			}
			done++
			t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
				run(t, c.Data, ch, check.Decode[mixedExpected](t, ch.Expected))
			})
		}
	}
	assert.Equal(t, want, done)
}

// TestReferenceLinear holds every linear case against R's lme4 and nlme. Asked
// for are 1e-5 of fixed effects, 1e-4 of standard errors, 1e-3 of variances
// and 1e-5 of log-likelihoods; lme4's search stops at about 1e-6 of a
// variance, and closer than the tolerances below nothing can be compared.
func TestReferenceLinear(t *testing.T) {
	mixedChecks(t, "lme", 12, func(t *testing.T, data check.Table, ch check.Check, want mixedExpected) {
		in := check.Decode[lmeInputs](t, ch.Inputs)
		fit, err := Linear(lmeRows(t, data, in), LinearModel{
			Fixed:     append([]string{"(Intercept)"}, in.Fixed...),
			Levels:    []Level{{in.Random, in.Correlated}},
			Criterion: in.Criterion,
		})
		require.NoError(t, err)
		assert.Equal(t, want.Singular, fit.Singular)
		assert.Len(t, fit.Groups, want.Groups)
		compare(t, fit.Fitness, fit.Fixed, fit.Levels[0], want, check.Tolerance{Rel: 2e-7}, check.Tolerance{Rel: 1e-5}, check.Tolerance{Rel: 3e-5}, 1e-9)
		for j, row := range want.VCov {
			check.Values(t, "covariance", mat.Row(nil, j, fit.Covariance), row, check.Tolerance{Rel: 1e-4})
		}
		check.Value(t, "BIC", fit.BIC, want.BICTotal, check.Tolerance{Abs: 1e-8})
		compareEffects(t, fit.Groups, want, check.Tolerance{Rel: 1e-4, Abs: 1e-5})
	})
}

func lmeRows(t testing.TB, data check.Table, in lmeInputs) []Row {
	column := func(name string) []float64 {
		if name == "1" {
			return slices.Repeat([]float64{1}, data.Len())
		}
		return data.Floats(t, name, 0)
	}
	values, groups := column(in.Response), column(in.Group)
	rows := make([]Row, len(values))
	for i := range rows {
		rows[i] = Row{Value: values[i], Weight: 1, Outer: int(groups[i]), Fixed: []float64{1}}
	}
	for _, name := range in.Fixed {
		for i, x := range column(name) {
			rows[i].Fixed = append(rows[i].Fixed, x)
		}
	}
	for _, name := range in.Random {
		for i, x := range column(name) {
			rows[i].OuterRandom = append(rows[i].OuterRandom, x)
		}
	}
	return rows
}

func compare(t *testing.T, fit Fitness, effects []Effect, spread Spread, want mixedExpected, fixed, se, variance check.Tolerance, loglik float64) {
	t.Helper()
	values, errors := make([]float64, len(effects)), make([]float64, len(effects))
	for j, e := range effects {
		values[j], errors[j] = e.Value, e.SE
	}
	assert.Equal(t, want.N, fit.N)
	check.Values(t, "fixed effects", values, want.Fixed, fixed)
	check.Values(t, "SEs", errors, want.SE, se)
	for j, row := range want.Random {
		check.Values(t, "random covariance", mat.Row(nil, j, spread.Covariance), row, variance)
	}
	check.Value(t, "residual SD", fit.ResidualSD, want.ResidualSD, variance)
	check.Value(t, "log-likelihood", fit.LogLik, want.LogLik, check.Tolerance{Abs: loglik})
	check.Value(t, "AIC", fit.AIC, want.AIC, check.Tolerance{Abs: 2 * loglik})
}

func compareEffects(t *testing.T, groups []Group, want mixedExpected, tol check.Tolerance) {
	t.Helper()
	for _, w := range want.BLUPs {
		number, err := strconv.Atoi(w.Group)
		require.NoError(t, err)
		at := slices.IndexFunc(groups, func(g Group) bool { return g.Outer == number })
		require.GreaterOrEqual(t, at, 0)
		check.Values(t, "random effects of "+w.Group, groups[at].OuterEffects, w.Effect, tol)
	}
}
